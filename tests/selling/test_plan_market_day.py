"""A market day goes on the list with the figures of its day, and again after it was taken back."""

from datetime import date, timedelta

import pytest

from farmops.journal.models import Change, Entry
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from farmops.selling.models import MarketDay, MarketLine, Outlet, Price
from farmops.selling.plan_market_day import add_item, live_lines, plan_market_day, set_own_number, usual_items
from tests.selling.market import SATURDAY, a_line, an_item, loaded, saying, the_market

pytestmark = pytest.mark.django_db
NEXT = SATURDAY + timedelta(days=7)


def plan(key="plan", held_on=SATURDAY, **other):
    return plan_market_day(saying=saying(key), outlet=the_market(), held_on=held_on, **other)


def test_price_step_and_costs_are_those_of_the_day():
    basil = an_item(leftover_value_cents=50, step=1)
    Price.objects.create(item=basil, outlet=the_market(), price_cents=450)
    Price.objects.create(item=basil, outlet=the_market(), price_cents=500, from_on=NEXT)
    MarketLine.objects.filter(pk=a_line(basil, date(2026, 4, 25)).pk).update(unit_cost_percent=30)
    said = plan(items=[basil]).entry.said
    line = MarketDay.objects.get(held_on=SATURDAY).lines.get()
    assert (line.price_cents, line.unit_cost_cents, line.unit_cost_percent) == (450, None, 30)
    assert (line.leftover_value_cents, line.step, line.unit) == (50, 1, "bunch")
    assert said == "Quillby Green, Sat 2 May 2026, is on the list"


def test_the_list_begins_with_what_has_a_price_and_goes_on_with_what_was_brought():
    for name in ("chard 10", "chard 9"):
        an_item(name)
    elsewhere = an_item("only elsewhere", cents=None)
    Price.objects.create(item=elsewhere, outlet=the_market("Pond Street", 2), price_cents=300)
    assert [item.name for item in usual_items(the_market())] == ["chard 9", "chard 10"]
    plan(items=[an_item("chard 10")])
    assert [item.name for item in usual_items(the_market())] == ["chard 10"]


def test_a_day_stands_on_the_list_once_and_a_buyer_is_no_market():
    plan(items=[an_item()])
    with pytest.raises(Refused, match=r"^Quillby Green, Sat 2 May 2026, is on the list already"):
        plan("again")
    bistro = Outlet.objects.create(name="Bistro", kind="buyer", weekday=4)
    with pytest.raises(Refused, match=r"^Bistro is no market"):
        plan_market_day(saying=saying("bistro"), outlet=bistro, held_on=SATURDAY)


def test_what_was_taken_back_can_be_planned_again_and_taken_back_again():
    basil, chard = an_item(), an_item("chard")
    first = plan(items=[basil, chard]).entry
    undo(saying("undo", corrects=first))
    basil.prices.update(price_cents=450)
    again = plan("again", items=[basil]).entry
    day = MarketDay.objects.get()
    assert [(line.item, line.price_cents) for line in live_lines(day)] == [(basil, 450)]
    assert (day.entry, Change.objects.filter(column="entry_id").count()) == (again, 2)
    undo(saying("undo again", corrects=again))
    assert MarketDay.objects.get().entry == first
    plan("third", items=[basil])
    assert Entry.objects.live().filter(job="plan").count() == 1


def test_what_is_loaded_keeps_the_day_on_the_list():
    plan(items=[an_item()])
    entry = MarketDay.objects.get().entry
    loaded(a_line(), "48")
    with pytest.raises(Refused, match=r"^Later entries rest on this one: Loaded for Quillby Green"):
        undo(saying("undo", corrects=entry))


def test_one_more_item_stands_there_once():
    line = a_line()
    add_item(saying=saying("add"), market_day=line.market_day, item=an_item("chard"))
    with pytest.raises(Refused, match=r"^chard is on this list already"):
        add_item(saying=saying("twice"), market_day=line.market_day, item=an_item("chard"))
    assert sorted(line.item.name for line in live_lines(line.market_day)) == ["chard", "sweet basil"]


def test_my_own_number_stands_beside_the_advice_and_can_be_taken_away():
    line, chard = a_line(), a_line(an_item("chard"))
    typed = {line.pk: "65", chard.pk: ""}
    said = set_own_number(saying=saying("own"), market_day=line.market_day, typed=typed).entry.said
    line.refresh_from_db()
    assert (line.own_number, said) == (65, "My numbers for Quillby Green: sweet basil 65")
    set_own_number(saying=saying("none"), market_day=line.market_day, typed={line.pk: " "})
    line.refresh_from_db()
    assert line.own_number is None
    with pytest.raises(Refused, match=r"^sweet basil: “lots” cannot be read") as refused:
        set_own_number(saying=saying("bad"), market_day=line.market_day, typed={line.pk: "lots"})
    assert list(refused.value.offer["lines"]) == [line.pk]
