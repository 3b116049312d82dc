"""If a planting were lost."""

from datetime import date, datetime, time, timedelta

import pytest

from farmops.farm.days import farm_zone
from farmops.growing.models import Planting
from farmops.planning.crop_lost import crop_lost
from farmops.planning.from_tables import with_what_is_sold
from farmops.planning.standing_now import standing_now
from farmops.selling.models import MarketDay, MarketFact, MarketLine, Outlet, StandingOrder
from farmops.waiting.models import DoNotCut
from tests.journal.entries import an_entry
from tests.planning.small_farm import TODAY, a_market, a_place, a_planting, a_variety, an_item, moved

pytestmark = pytest.mark.django_db


@pytest.fixture
def item():
    a_place()
    return an_item(a_variety())


def two_plantings(item):
    """40 and 20 heads ready this week after 5 % are not saleable: 38 and 19."""
    variety = item.parts.get().variety
    for code, plants, space in (("P26-001", 40, "N-1"), ("P26-002", 20, "N-2")):
        planting = a_planting(variety, code, plants=plants)
        moved(planting.stays.get(), space, plants, date(2026, 3, 30))


def an_order(item, name, weekday, amount, failing=None):
    buyer = Outlet.objects.create(name=name, kind="buyer", weekday=weekday)
    StandingOrder.objects.create(
        buyer=buyer,
        item=item,
        weekday=weekday,
        amount=amount,
        failing_costs_cents=failing,
        entry=an_entry(f"order {name}"),
    )


def a_market_day(item, brought):
    day = MarketDay.objects.create(
        outlet=a_market(),
        held_on=TODAY - timedelta(days=2),
        opens_minute=480,
        closes_minute=780,
        status="took place",
        entry=an_entry("market"),
    )
    line = MarketLine.objects.create(market_day=day, item=item, unit="head", entry=an_entry("line"))
    MarketFact.objects.create(line=line, kind="brought", amount=brought, entry=an_entry("load"))


def answer(code):
    standing = standing_now(TODAY)
    return crop_lost(with_what_is_sold(standing.rows, date(2026, 3, 1)), standing.growing, code, TODAY)


def shorts(lost):
    return [
        [(one.want.outlet, one.want.day.isoformat(), round(one.short, 3)) for one in week.shorts] for week in lost.weeks
    ]


def test_markets_go_short_before_promises_and_cheap_ones_before_dear_ones(item):
    # 57 heads come, 50 are wanted. Without the 38 of P26-001, 19 are left and 31 short: 24 at the market, 7 at the inn.
    two_plantings(item)
    an_order(item, "The Anchor", 1, 16, failing=500)
    an_order(item, "Inn", 4, 10, failing=100)
    a_market_day(item, 24)
    lost = answer("P26-001")
    assert shorts(lost) == [[("Quay", "2026-05-09", 24.0), ("Inn", "2026-05-08", 7.0)]]
    assert [(week.monday, round(week.missing, 6), round(week.spare, 6)) for week in lost.weeks] == [
        (date(2026, 5, 4), 38.0, 7.0)
    ]
    assert round(lost.buy_in, 6) == 31.0


def test_what_would_be_short_anyway_is_not_counted_again(item):
    # 57 come and 60 are wanted: 3 are short anyway; without the 19 of P26-002 it is 22.
    two_plantings(item)
    an_order(item, "The Anchor", 1, 60)
    assert shorts(answer("P26-002")) == [[("The Anchor", "2026-05-05", 19.0)]]


def a_wait(code, before):
    DoNotCut.objects.create(
        planting=Planting.objects.get(code=code),
        before=datetime.combine(before, time(), farm_zone()),
        reason="hail",
        entry=an_entry(f"wait {code}", job="wait"),
    )


@pytest.mark.parametrize(
    ("before", "weeks"),
    [(date(2026, 5, 11), [(date(2026, 5, 11), 38.0)]), (date(2026, 6, 1), [])],
    ids=["a week", "past its best"],
)
def test_what_waits_is_missed_in_the_week_in_which_it_may_be_cut(item, before, weeks):
    # Both are good from this week on for at least a week more; the other one's 19 heads serve this week's orders.
    two_plantings(item)
    an_order(item, "The Anchor", 1, 30)
    a_wait("P26-001", before)
    lost = answer("P26-001")
    assert [(week.monday, round(week.missing, 6)) for week in lost.weeks] == weeks
    assert shorts(lost) == [[("The Anchor", "2026-05-12", 30.0)]][: len(weeks)]
    # What waits helps nobody before: without the others all of the 30 are short, of which 11 would be anyway.
    assert shorts(answer("P26-002")) == [[("The Anchor", "2026-05-05", 19.0)]]


def test_a_crop_nobody_asked_for_leaves_nobody_short(item):
    two_plantings(item)
    lost = answer("P26-001")
    assert (shorts(lost), lost.buy_in) == ([[]], 0.0)


def test_sown_again_today_it_is_ready_after_all_its_stages(item):
    # 21 and 35 days whatever the light: 4 May + 56 days = 29 June.
    two_plantings(item)
    lost = answer("P26-001")
    assert (lost.plants, lost.ready.usual, lost.in_time) == (40, date(2026, 6, 29), False)


def test_what_does_not_stand_cannot_be_lost(item):
    with pytest.raises(KeyError):
        answer("P26-009")
