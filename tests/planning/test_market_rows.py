"""Market days of the tables as rows."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.planning.market_rows import market_rows
from farmops.planning.rows import MarketDay as Row
from farmops.selling.models import MarketDay, MarketFact, MarketLine, Outlet
from tests.journal.entries import an_entry
from tests.planning.small_farm import a_market, a_place, a_variety, an_item

pytestmark = pytest.mark.django_db
SATURDAY = date(2026, 5, 2)


def a_line(status="took place", *, item=None, **other):
    if item is None:
        a_place()
        item = an_item(a_variety())
    entry = an_entry(f"plan {item} {status}")
    day, _ = MarketDay.objects.get_or_create(
        outlet=Outlet.objects.first() or a_market(),
        held_on=SATURDAY,
        defaults={"opens_minute": 480, "closes_minute": 780, "status": status, "entry": entry},
    )
    return MarketLine.objects.create(market_day=day, item=item, unit=item.unit, entry=entry, price_cents=400, **other)


def known(line, *facts):
    for number, (kind, amount, minute) in enumerate(facts):
        entry = an_entry(f"{kind} {number}", job="stall")
        MarketFact.objects.create(line=line, kind=kind, amount=amount, minute=minute, entry=entry)


def row(**other):
    facts = {
        "date": SATURDAY,
        "market": "Quay",
        "opens": 480,
        "closes": 780,
        "item": "butterhead lettuce",
        "unit": "head",
        "price": Decimal(4),
    }
    return Row(**{**facts, **other})


def test_nothing_known_is_not_none_left():
    a_line()
    assert market_rows() == (row(),)


@pytest.mark.case("M03")
def test_a_restock_and_the_first_selling_out_both_stand():
    # 30 at 8:00, none left 9:30, 20 more at 10:15, 6 left at 13:00.
    known(a_line(), ("brought", 50, None), ("sold out", None, 570), ("restocked", 20, 615), ("left", 6, None))
    assert market_rows() == (
        row(brought=50, left_over=6, restocked=20, restocked_at=615, sold_out_at=(570,)),
    )  # fmt: skip


def test_several_restocks_are_all_there():
    known(a_line(), ("brought", 50, None), ("restocked", 20, 615), ("restocked", 5, 700))
    assert (market_rows()[0].restocked, market_rows()[0].restocks) == (25, ((615, 20), (700, 5)))


def test_kinds_of_what_came_back_are_added_and_tallies_too():
    known(a_line(), ("brought", 60, None), ("home", 3, None), ("donated", 8, None), ("compost", 2, None))
    known_line = MarketLine.objects.get()
    known(known_line, ("tallied", 18, None), ("tallied", 15, None))
    assert market_rows() == (row(brought=60, left_over=13, sold=33, taken_home=3, given_away=8, composted=2),)


def test_for_a_day_to_come_the_own_number_stands_before_the_advice():
    line = a_line("planned", advised=48)
    assert market_rows()[0].brought == 48
    MarketLine.objects.filter(pk=line.pk).update(own_number=0)
    assert market_rows()[0].brought == 0


def test_a_line_that_was_undone_is_no_row():
    line = a_line()
    an_entry("undo", job="undo", corrects=line.entry)
    assert market_rows() == ()


def test_days_before_a_day_are_left_out():
    a_line()
    assert (len(market_rows(SATURDAY)), market_rows(date(2026, 5, 3))) == (1, ())


def test_of_a_variety_only_what_is_made_of_it():
    known(a_line(), ("brought", 24, None))
    other = a_line(item=an_item(a_variety("red oakleaf"), "oakleaf lettuce"))
    assert [found.item for found in market_rows(of_variety="red oakleaf")] == [other.item.name]
    assert [found.brought for found in market_rows(SATURDAY, "green butterhead")] == [24]
