import pytest

from farmops.exchange.notebook import Answers, read_notebook
from farmops.exchange.notebook.hours import weather_word
from tests.exchange.notebook.sheets import text


@pytest.mark.parametrize(
    ("words", "weather"),
    [
        ("rain", "rain"),
        ("Wet", "rain"),
        ("heavy rain", "rain"),
        ("sunny, then showers", "rain"),
        ("dry", "dry"),
        ("Sunny", "dry"),
        ("overcast", "dry"),
        ("no rain", "dry"),
        ("hot & humid", "dry"),
        ("", ""),
        ("?", ""),
        ("busy", None),
    ],
)
def test_weather_in_many_words(words, weather):
    assert weather_word(words) == weather


def read(*rows, heading=("Date", "Item", "Opens", "Closes", "Brought", "Left", "Ran out", "Status"), **answers):
    return read_notebook(text([heading, *rows]), answers=Answers.of(answers))


def row(opens="8", closes="13", out="", status="", left=0, day="2026-06-06"):
    return [day, "Kale", opens, closes, 40, left, out, status]


@pytest.mark.parametrize(
    ("opens", "closes", "expected"),
    [("8", "13", (480, 780)), ("8", "1", (480, 780)), ("9am", "2 pm", (540, 840)), ("15:00", "19:00", (900, 1140))],
)
def test_hours_as_people_write_them(opens, closes, expected):
    (record,) = read(row(opens, closes)).records
    assert (record.opens, record.closes) == expected


def test_hours_left_empty_are_those_of_the_market():
    records = read(row("9", "14"), row("", "", day="2026-06-13")).records
    assert [(record.opens, record.closes) for record in records] == [(540, 840)] * 2


def test_hours_that_end_before_they_begin_are_asked_about():
    assert [doubt.key for doubt in read(row("15:00", "13:30")).open] == ["hours"]
    (record,) = read(row("15:00", "13:30"), hours="unknown").records
    assert (record.opens, record.closes) == (480, 780)


def test_a_time_of_the_afternoon_market_needs_no_pm():
    (record,) = read(row("15:00", "19:00", "5:40")).records
    assert record.ran_out_at == (1060,)


def test_gone_home_early_is_no_sell_out():
    (record,) = read(row(left=12, status="left early 11:00")).records
    assert (record.left_at, record.ran_out, record.closes) == (660, False, 780)


def test_a_status_nobody_knows_is_asked_about():
    assert [doubt.key for doubt in read(row(status="hmm")).open] == ["status"]
    assert len(read(row(status="hmm"), **{"status": "yes"}).records) == 1
    assert read(row(status="hmm"), **{"status": "no"}).left_out[0][:2] == ("called off", 1)


def test_a_typed_hour_that_is_none_is_no_answer():
    sheet = text([["Date", "Item", "Brought", "Left"], ["2026-06-06", "Kale", 40, 6]])
    notebook = read_notebook(sheet, answers=Answers.of({"opens": "soon", "closes": "2 pm"}))
    assert [(doubt.key, doubt.answer) for doubt in notebook.doubts if doubt.key in ("opens", "closes")] == [
        ("opens", None),
        ("closes", "2 pm"),
    ]
    assert (notebook.records[0].opens, notebook.records[0].closes) == (480, 840)


@pytest.mark.parametrize(
    "words",
    ["planned", "Planned, usual load", "plan", "planned 8:00, closed 12", "not yet held", "next week", "to come"],
)
def test_figures_for_days_to_come_are_never_taken_as_held(words):
    notebook = read(row(), row(status=words, day="2026-06-13"))
    assert ([each.day.day for each in notebook.records], notebook.open) == ([6], ())
    assert notebook.left_out == (("planned", 1, "not held yet"),)


@pytest.mark.parametrize("words", ["held", "went as planned", "held, plan worked", "held, next to the fair"])
def test_a_market_held_as_planned_was_held(words):
    assert len(read(row(status=words)).records) == 1


def test_as_planned_alone_may_mean_both():
    assert [doubt.key for doubt in read(row(status="as planned")).open] == ["status"]
