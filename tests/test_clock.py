"""What time it is here."""

from datetime import UTC, date, datetime

from django.utils import timezone

from farmops import clock


def test_the_clock_is_the_computers(settings):
    assert clock.now() == datetime(2026, 5, 4, 13, 0, tzinfo=UTC)


def test_the_demos_clock_is_set_back_by_whole_days(settings):
    settings.CLOCK_BACK_DAYS = 3
    assert clock.now() == datetime(2026, 5, 1, 13, 0, tzinfo=UTC)


def test_today_is_that_of_the_zone_in_use():
    with timezone.override("Pacific/Auckland"):
        assert clock.today() == date(2026, 5, 5)
