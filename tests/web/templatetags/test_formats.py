"""How amounts, money, times and weeks read."""

from datetime import date

import pytest

from farmops.web.templatetags.formats import clock, dollars, in_words, one_place, rows_shown, week, whole


@pytest.mark.parametrize(("minutes", "shown"), [(None, ""), (0, "00:00"), (700, "11:40"), (699.6, "11:40")])
def test_clock(minutes, shown):
    assert clock(minutes) == shown


@pytest.mark.parametrize(
    ("day", "shown"),
    [
        (date(2026, 9, 11), "week 37"),
        (date(2026, 12, 31), "week 53"),
        (date(2027, 1, 1), "week 53 2026"),  # the ISO year where it is not the day's own
    ],
)
def test_week(day, shown):
    assert week(day) == shown


def test_a_day_cannot_be_read_two_ways():
    assert in_words(date(2026, 9, 5)) == "Sat 5 Sep 2026"


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0, "$0"), (3.456, "$3.46"), (12.4, "$12"), (2149.6, "$2,150"), (-3.5, "−$3.50"), (9.999, "$10")],
)
def test_dollars(value, shown):
    assert dollars(value) == shown


@pytest.mark.parametrize(("value", "shown"), [(3.04, "3"), (3.25, "3.2"), (1250.5, "1,250.5")])
def test_one_place(value, shown):
    assert one_place(value) == shown


def test_whole():
    assert whole(12345.6) == "12,346"


def test_rows_shown():
    assert rows_shown((1, 2)) == "1, 2"
    assert rows_shown(tuple(range(1, 9))) == "1, 2, 3, 4, 5, 6 and 2 more"
