"""A year by ISO week: markets, boxes, orders, and weeks that sell alike in one run."""

from datetime import date, timedelta

import pytest

from farmops.core.calendar import week_of
from farmops.farm.models import ClosedDays, Farm
from farmops.planning.copy_year import span_of
from farmops.planning.winter_year import BoxSize, MarketOfYear, Selling, selling_of, year_of_plan
from farmops.selling.call_off import call_off
from farmops.selling.models import MarketDay, Outlet, OutletClosedDays
from tests.selling.market import a_line, an_item, saying, the_market
from tests.selling.orders import a_buyer, a_count, an_order

pytestmark = pytest.mark.django_db


def runs(first=date(2026, 5, 4), weeks=8):
    found = selling_of(first, first + timedelta(days=7 * weeks - 1))
    return [(one.first, one.last, one.selling) for one in found.runs]


def test_weeks_that_sell_alike_stand_in_one_run():
    the_market()
    a_count(date(2026, 5, 18), date(2026, 5, 31), boxes=24, size="full")
    a_count(date(2026, 5, 18), date(2026, 5, 31), boxes=20, size="full", item=an_item("kale"))
    an_order(a_buyer("Inn"), weekday=4, first_on=date(2026, 6, 5), last_on=date(2026, 6, 19), every_weeks=2)
    market = ((5, "Quillby Green"),)
    box, inn = (BoxSize("weekly box", "full", 20, 24),), ((4, "Inn"),)
    assert runs() == [
        (date(2026, 5, 4), date(2026, 5, 11), Selling(market, (), (), ())),
        (date(2026, 5, 18), date(2026, 5, 25), Selling(market, (), box, ())),
        (date(2026, 6, 1), date(2026, 6, 1), Selling(market, (), (), inn)),
        (date(2026, 6, 8), date(2026, 6, 8), Selling(market, (), (), ())),
        (date(2026, 6, 15), date(2026, 6, 15), Selling(market, (), (), inn)),
        (date(2026, 6, 22), date(2026, 6, 22), Selling(market, (), (), ())),
    ]


def test_closed_days_fall_out_for_all_that_is_sold_on_them():
    the_market()
    a_count(date(2026, 5, 4), date(2026, 5, 31))
    an_order(a_buyer("Inn"), weekday=4)
    ClosedDays.objects.create(first_on=date(2026, 5, 11), last_on=date(2026, 5, 17))
    OutletClosedDays.objects.create(
        outlet=Outlet.objects.get(name="Inn"), first_on=date(2026, 5, 22), last_on=date(2026, 5, 22)
    )
    found = [
        (first, selling.markets, selling.off, len(selling.boxes), len(selling.orders))
        for first, _last, selling in runs(weeks=3)
    ]
    market = ((5, "Quillby Green"),)
    assert found == [
        (date(2026, 5, 4), market, (), 1, 1),
        (date(2026, 5, 11), (), market, 0, 0),
        (date(2026, 5, 18), market, (), 1, 0),
    ]
    assert [selling.is_nothing for _first, _last, selling in runs(weeks=3)] == [False, True, False]


def test_days_on_the_list_count_on_any_weekday_and_none_out_of_season_or_called_off():
    a_line(held_on=date(2026, 5, 6))
    a_line(held_on=date(2026, 5, 16))
    call_off(saying=saying("off"), market_day=MarketDay.objects.get(held_on=date(2026, 5, 16)))
    Outlet.objects.update(last_on=date(2026, 5, 20))
    assert [(first, selling.markets, selling.off) for first, _last, selling in runs(weeks=3)] == [
        (date(2026, 5, 4), ((2, "Quillby Green"), (5, "Quillby Green")), ()),
        (date(2026, 5, 11), (), ((5, "Quillby Green"),)),
        (date(2026, 5, 18), (), ()),
    ]
    assert selling_of(date(2026, 5, 4), date(2026, 5, 24)).markets == (MarketOfYear("Quillby Green", 2, 1),)


@pytest.mark.case("G10")
def test_the_season_of_the_farm_bounds_the_year():
    # "market Saturdays 8-13, closed 26 Dec 2026; season 9 May-19 Dec"
    the_market()
    Farm.objects.update(season_first_on=date(2026, 5, 9), season_last_on=date(2026, 12, 19))
    found = selling_of(*span_of(2026))
    assert found.markets == (MarketOfYear("Quillby Green", 33, 0),)
    assert [(str(week_of(one.first)), str(week_of(one.last))) for one in found.runs if one.selling.markets] == [
        ("2026-W19", "2026-W51")
    ]


@pytest.mark.case("G12")
def test_the_week_that_both_years_share_is_one_week_of_2026():
    # "31 Dec and 1 Jan are both 2026-W53 ... Sums per week of Dec/Jan must not split one week in two."
    the_market("Thursday square", weekday=3)
    the_market("Friday square", weekday=4)
    weeks = selling_of(*span_of(2026)).weeks
    assert (len(weeks), str(week_of(max(weeks)))) == (53, "2026-W53")
    assert weeks[date(2026, 12, 28)].markets == ((3, "Thursday square"), (4, "Friday square"))
    assert len(selling_of(*span_of(2027)).weeks) == 52


def test_the_year_to_plan_is_the_one_most_of_the_next_twelve_months_lie_in():
    days = (date(2026, 5, 4), date(2026, 7, 6), date(2026, 12, 1), date(2027, 1, 2))
    assert [year_of_plan(day) for day in days] == [2026, 2027, 2027, 2027]


@pytest.mark.parametrize("number", [3, 300])
def test_as_many_queries_for_many_as_for_few(django_assert_num_queries, number):
    Outlet.objects.bulk_create(Outlet(name=f"market {one}", kind="market", weekday=one % 7) for one in range(number))
    with django_assert_num_queries(7):
        assert len(selling_of(date(2026, 5, 4), date(2026, 5, 10)).markets) == number
