"""Days and hours to wait after a treatment."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from farmops.core.waiting_times import after, job_end, not_before

HERE = "America/New_York"
SEVENTH = date(2026, 9, 7)


def here(*numbers):
    return datetime(*numbers, tzinfo=ZoneInfo(HERE))


def wall(moment):
    return moment.strftime("%Y-%m-%d %H:%M")


@pytest.mark.case("S02")
def test_the_longest_wait_of_a_job_counts():
    # cpg.treefruit.wsu.edu entry and preharvest intervals, points 4 and 5; our numbers.
    end = job_end(SEVENTH, 16 * 60 + 30, HERE)
    assert not_before(end, 2, 72) == here(2026, 9, 10, 16, 30)
    tank_mix = max(not_before(end, 2, 72), not_before(end, 7, 4))
    assert tank_mix == here(2026, 9, 14, 16, 30)
    assert after(end, hours=72) == here(2026, 9, 10, 16, 30)


@pytest.mark.case("S03")
def test_days_are_counted_from_the_end_and_hours_in_real_time():
    # 3 CCR 6772: a day is 24 hours from the end; no end time is the end of the day; clocks change 1 Nov and 8 Mar.
    assert not_before(job_end(SEVENTH, 16 * 60 + 30, HERE), 1, None) == here(2026, 9, 8, 16, 30)
    assert not_before(job_end(SEVENTH, None, HERE), 3, None) == here(2026, 9, 11, 0, 0)
    assert not_before(job_end(date(2026, 9, 8), None, HERE), 3, None) == here(2026, 9, 12, 0, 0)
    assert wall(after(job_end(date(2026, 10, 31), 20 * 60, HERE), hours=12)) == "2026-11-01 07:00"
    assert wall(after(job_end(date(2026, 3, 7), 20 * 60, HERE), hours=12)) == "2026-03-08 09:00"
    assert not_before(job_end(SEVENTH, 16 * 60 + 30, HERE), 0, 4) == here(2026, 9, 7, 20, 30)


def test_days_that_are_not_known_are_no_days():
    assert not_before(job_end(SEVENTH, None, HERE), None, 4) is None
