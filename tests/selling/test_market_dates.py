"""On which days markets are held: week 53, 29 February, seasons and closed days."""

from datetime import date

import pytest

from farmops.farm.models import ClosedDays, Farm
from farmops.selling.market_dates import days_between, market_dates
from farmops.selling.models import Outlet, OutletClosedDays
from tests.selling.market import the_market

pytestmark = pytest.mark.django_db


def days(first, last):
    return [day for day, _outlet in market_dates(first, last)]


def test_week_53_has_its_saturday_and_a_leap_years_tuesday_the_29th():
    the_market()
    assert days(date(2026, 12, 24), date(2027, 1, 10)) == [date(2026, 12, 26), date(2027, 1, 2), date(2027, 1, 9)]
    the_market("Pond Street", 1)
    assert date(2028, 2, 29) in days(date(2028, 2, 1), date(2028, 3, 1))


def test_seasons_of_farm_and_market_and_closed_days_are_left_out():
    market = the_market()
    Outlet.objects.filter(pk=market.pk).update(first_on=date(2026, 5, 9), last_on=date(2026, 6, 20))
    Farm.objects.update(season_first_on=date(2026, 5, 1), season_last_on=date(2026, 6, 13))
    OutletClosedDays.objects.create(outlet=market, first_on=date(2026, 5, 16), last_on=date(2026, 5, 17))
    ClosedDays.objects.create(first_on=date(2026, 5, 30), last_on=date(2026, 5, 30))
    assert days(date(2026, 4, 1), date(2026, 7, 1)) == [
        date(2026, 5, 9),
        date(2026, 5, 23),
        date(2026, 6, 6),
        date(2026, 6, 13),
    ]


def test_two_on_one_day_stand_in_natural_order():
    for name in ("Hall 10", "Hall 9"):
        the_market(name)
    assert [outlet.name for _day, outlet in market_dates(date(2026, 5, 2), date(2026, 5, 2))] == ["Hall 9", "Hall 10"]


def test_both_ends_count():
    assert list(days_between(date(2026, 5, 2), date(2026, 5, 4))) == [date(2026, 5, day) for day in (2, 3, 4)]
