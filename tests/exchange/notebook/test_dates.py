from datetime import date

import pytest

from farmops.exchange.notebook import Answers, NotebookRefused
from farmops.exchange.notebook.dates import are_mixed, in_words, parse_date, read_dates
from farmops.exchange.notebook.doubts import Questions


def read(*cells, **given):
    questions = Questions(Answers.of(given))
    found = read_dates([(row, text) for row, text in enumerate(cells, 2)], "Date", questions)
    return found, questions


@pytest.mark.case("I02")
def test_a_column_with_a_26_in_front_is_day_first():
    found, questions = read("3/4/26", "4/4/26", "26/3/26")
    assert found.days == (date(2026, 4, 3), date(2026, 4, 4), date(2026, 3, 26))
    assert in_words(found.days[0]) == "3 April 2026"
    assert questions.doubts == []


@pytest.mark.case("I02")
def test_a_column_with_a_31_behind_is_month_first():
    found, questions = read("3/4/26", "12/31/25")
    assert found.days == (date(2026, 3, 4), date(2025, 12, 31))
    assert in_words(found.days[0]) == "4 March 2026"
    assert questions.doubts == []


@pytest.mark.case("I02")
def test_a_column_that_could_be_either_is_asked_about():
    found, questions = read("3/4/26", "5/4/26")
    (doubt,) = questions.open
    assert found.days == (None, None)
    assert (doubt.key, doubt.rows, doubt.default) == ("dates", (2, 3), None)
    assert [choice.words for choice in doubt.choices] == [
        "3/4/26 is 3 April 2026 (day first)",
        "3/4/26 is 4 March 2026 (month first)",
    ]
    found, questions = read("3/4/26", "5/4/26", dates="month first")
    assert found.days == (date(2026, 3, 4), date(2026, 5, 4))
    assert questions.open == ()


@pytest.mark.case("I02")
def test_a_column_that_contradicts_itself_stops_with_both_rows():
    with pytest.raises(NotebookRefused) as refused:
        read("3/13/26", "13/3/26")
    assert refused.value.rows == (2, 3)
    assert refused.value.words == (
        "The dates in “Date” contradict each other: row 3 says 13/3/26 (day first), row 2 says 3/13/26 (month first)."
    )


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-04-03", date(2026, 4, 3)),
        ("2026/4/3", date(2026, 4, 3)),
        ("2026-04-03 08:00", date(2026, 4, 3)),
        ("3 April 2026", date(2026, 4, 3)),
        ("April 3, 2026", date(2026, 4, 3)),
        ("Apr. 3rd 2026", date(2026, 4, 3)),
        ("Sat 4-Apr-26", date(2026, 4, 4)),
        ("Saturday, April 4, 2026", date(2026, 4, 4)),
        ("Sept 5 2026", date(2026, 9, 5)),
        ("46115", date(2026, 4, 3)),  # a sheet's day number
        ("3/3/26", date(2026, 3, 3)),  # the same either way
        ("30.2.2026", None),
        ("2206-04-03", None),
        ("soon", None),
        ("12", None),
    ],
)
def test_one_date(text, day):
    assert parse_date(text, "day first" if text == "30.2.2026" else None) == day


def test_dates_without_a_year_ask_for_it():
    found, questions = read("4 April", "11 April")
    assert [doubt.key for doubt in questions.open] == ["year"]
    found, questions = read("4 April", "11 April", year="2025")
    assert found.days == (date(2025, 4, 4), date(2025, 4, 11))


def test_what_cannot_be_read_is_told_apart_from_what_is_empty():
    found, _questions = read("2026-04-03", "", "soon", "31/4/2026")
    assert (found.days, found.bad) == ((date(2026, 4, 3), None, None, None), (2, 3))


def test_dates_and_dates_as_text_in_one_column_are_warned_about():
    assert are_mixed(["2026-04-03", "26/3/26"]) is True
    assert are_mixed(["2026-04-03", "2026-03-26", "", "4 April 2026"]) is False
    assert are_mixed(["3/4/26", "26/3/26"]) is False
