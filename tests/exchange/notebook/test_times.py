import pytest

from farmops.exchange.notebook.cells import Exact
from farmops.exchange.notebook.times import clock, read_time, read_times


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("11:40", "11:40"),
        ("11.40", "11:40"),
        ("1140", "11:40"),
        ("11:40 am", "11:40"),
        ("11:40a", "11:40"),
        ("1 pm", "13:00"),
        ("1:05 p.m.", "13:05"),
        ("12 am", "00:00"),
        ("12:30 pm", "12:30"),
        ("noon", "12:00"),
        ("9", "09:00"),
        ("9h30", "09:30"),
        ("10:24 Uhr", "10:24"),
        ("10.24 h", "10:24"),
        ("10 Uhr 24", "10:24"),
        ("10 Uhr", "10:00"),
        ("um 10:24", "10:24"),
        ("à 10h24", "10:24"),
        ("a las 10:24", "10:24"),
        ("930", "09:30"),
        ("~11:30", "11:30"),
        ("by 11:30", "11:30"),
        ("2026-04-03 11:40", "11:40"),
        ("11:40:00", "11:40"),
        ("25:00", None),
        ("11:75", None),
        ("late", None),
        ("13 am", None),
    ],
)
def test_one_time(text, expected):
    minute = read_time(text)
    assert (None if minute is None else clock(minute)) == expected


def test_numbers_of_a_sheet_are_times_too():
    assert [clock(read_time(Exact(text)) or 0) for text in ("11.4", "1140", "0.486111")] == ["11:40", "11:40", "11:40"]


def test_the_half_of_the_day_in_which_the_market_is_open_is_meant():
    assert read_time("1:10", 480, 840) == 13 * 60 + 10
    assert read_time("4:30", 900, 1140) == 16 * 60 + 30
    # Both halves are outside: the nearer one is meant, and asked about.
    assert read_time("1:10", 480, 780) == 13 * 60 + 10
    assert read_time("7:50", 480, 780) == 7 * 60 + 50
    assert read_time("closing", 480, 780) == 780


@pytest.mark.parametrize(
    ("text", "minutes", "out"),
    [
        ("09:30;12:10", (570, 730), True),
        ("9:30, 12:10", (570, 730), True),
        ("9:30 and 12:10", (570, 730), True),
        ("", (), False),
        ("-", (), False),
        ("no", (), False),
        ("?", (), False),
        ("yes", (), True),
        ("sold out", (), True),
    ],
)
def test_several_times_and_words(text, minutes, out):
    read = read_times(text)
    assert (read.minutes, read.out, read.bad) == (minutes, out, False)


def test_what_is_no_time_is_bad():
    assert read_times("11:40; soon").bad is True
