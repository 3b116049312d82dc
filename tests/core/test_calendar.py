"""Days, ISO weeks and copies of last year's plan."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.calendar import (
    WEEK,
    Week,
    copied_day,
    copied_week,
    day_of_year,
    in_year,
    lies_within,
    monday_of,
    week_of,
    weeks_in,
)
from farmops.core.growth import Need, Place, over_on


@pytest.mark.case("G12")
@pytest.mark.parametrize(
    ("sown", "days", "expected"),
    [
        (date(2028, 2, 20), 21, date(2028, 3, 12)),
        (date(2027, 2, 20), 21, date(2027, 3, 13)),
        (date(2028, 2, 10), 19, date(2028, 2, 29)),
    ],
)
def test_days_are_counted_over_the_leap_day(sown, days, expected):
    assert over_on(Need(days), Place(latitude=42.4, dark_pace=1.0), sown) == expected


@pytest.mark.case("G12")
def test_a_copy_by_52_weeks_keeps_the_weekday():
    copy = copied_day(date(2028, 2, 29))
    assert (copy, copy.strftime("%a")) == (date(2029, 2, 27), "Tue")
    assert copied_day(copy, -1) == date(2028, 2, 29)


@pytest.mark.case("G12")
def test_both_sides_of_the_new_year_lie_in_week_53_of_2026():
    assert str(week_of(date(2026, 12, 31))) == "2026-W53"
    assert str(week_of(date(2027, 1, 1))) == "2026-W53"
    assert (Week(2026, 53).monday, Week(2027, 1).monday) == (date(2026, 12, 28), date(2027, 1, 4))
    assert (weeks_in(2026), weeks_in(2027)) == (53, 52)


@pytest.mark.case("G12")
def test_week_53_goes_to_a_year_without_one_by_a_choice():
    assert copied_week(Week(2026, 53), 2027) == (Week(2027, 52), Week(2028, 1))
    assert copied_week(Week(2026, 53), 2032) == (Week(2032, 53),)
    assert copied_week(Week(2026, 12), 2027) == (Week(2027, 12),)
    with pytest.raises(ValueError, match="2027 has weeks 1 to 52, got 53"):
        Week(2027, 53)


@pytest.mark.case("G12")
def test_day_280_is_another_day_in_a_leap_year():
    assert day_of_year(date(2026, 10, 7)) == 280
    assert day_of_year(date(2028, 10, 6)) == 280
    assert day_of_year(date(2028, 10, 7)) == 281


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)))
def test_a_week_holds_its_own_days_and_seven_of_them(day):
    week = week_of(day)
    assert week.monday <= day < week.monday + WEEK
    assert week.monday.weekday() == 0
    assert monday_of(day) == week.monday


def test_the_29th_of_february_stands_for_the_first_of_march_where_there_is_none():
    assert in_year((2, 29), 2027) == date(2027, 3, 1)
    assert in_year((2, 29), 2028) == date(2028, 2, 29)
    with pytest.raises(ValueError, match="day"):
        in_year((2, 30), 2028)


def test_part_of_a_year_may_reach_over_the_new_year():
    days = [date(2026, 11, 6), date(2026, 11, 7), date(2027, 1, 1), date(2027, 2, 3), date(2027, 2, 4)]
    assert [lies_within(day, (11, 7), (2, 3)) for day in days] == [False, True, True, True, False]
    assert [lies_within(day, (2, 3), (11, 6)) for day in days] == [True, False, False, True, True]
