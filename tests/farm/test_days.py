"""The farm's days."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from farmops.farm.days import farm_day, farm_today, farm_zone, instant_of, minute_of
from farmops.farm.models import Farm

NEW_YORK = ZoneInfo("America/New_York")


@pytest.fixture
def farm(db):
    return Farm.objects.create(name="Mill Bend (invented)", latitude="42.4", time_zone="America/New_York")


@pytest.mark.case("F07")
@pytest.mark.parametrize(
    ("instant", "day"),
    [
        # 20:30 on 11 Sep at the farm is half past midnight UTC on the 12th; figures of the case, recomputed.
        (datetime(2026, 9, 12, 0, 30, tzinfo=UTC), date(2026, 9, 11)),
        (datetime(2026, 12, 12, 0, 30, tzinfo=UTC), date(2026, 12, 11)),
        (datetime(2026, 9, 12, 4, 30, tzinfo=UTC), date(2026, 9, 12)),
    ],
    ids=["20:30 in summer", "19:30 in winter", "half an hour after the farm's midnight"],
)
def test_an_evening_belongs_to_the_farms_day(farm, instant, day):
    assert farm_day(instant) == day


def test_today_is_the_farms(farm):
    assert farm_today() == date(2026, 5, 4)


def test_without_a_farm_the_settings_zone_counts(db, settings):
    settings.TIME_ZONE = "Europe/Berlin"
    assert farm_zone() == ZoneInfo("Europe/Berlin")


def test_an_instant_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="an instant needs its zone, got 2026-09-11 20:30:00"):
        farm_day(datetime(2026, 9, 11, 20, 30), NEW_YORK)


@pytest.mark.parametrize(
    ("day", "minute", "instant"),
    [
        (date(2026, 9, 11), 20 * 60 + 30, datetime(2026, 9, 12, 0, 30, tzinfo=UTC)),
        (date(2026, 9, 11), 1440, datetime(2026, 9, 12, 4, 0, tzinfo=UTC)),
        # US clocks go back on 1 Nov 2026: 01:30 comes twice, the first is meant.
        (date(2026, 11, 1), 90, datetime(2026, 11, 1, 5, 30, tzinfo=UTC)),
        # and forward on 8 Mar 2026: 02:30 does not exist and is 03:30.
        (date(2026, 3, 8), 150, datetime(2026, 3, 8, 7, 30, tzinfo=UTC)),
    ],
)
def test_clock_times_are_instants(day, minute, instant):
    assert instant_of(day, minute, NEW_YORK) == instant


def test_minutes_are_read_back_from_an_instant():
    assert minute_of(datetime(2026, 9, 12, 0, 30, tzinfo=UTC), NEW_YORK) == 1230


@pytest.mark.parametrize("minute", [-1, 1441])
def test_minutes_outside_the_day_are_refused(minute):
    with pytest.raises(ValueError, match=f"0 to 1440, got {minute}"):
        instant_of(date(2026, 9, 11), minute, NEW_YORK)
