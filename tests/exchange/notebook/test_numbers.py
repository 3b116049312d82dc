from decimal import Decimal

import pytest

from farmops.exchange.notebook import Answers
from farmops.exchange.notebook.cells import Exact
from farmops.exchange.notebook.doubts import Questions
from farmops.exchange.notebook.numbers import parse_amount, read_amounts


def read(*cells, money=False, name="brought", **given):
    questions = Questions(Answers.of(given))
    found = read_amounts([(row, text) for row, text in enumerate(cells, 2)], name, "Took", questions, money=money)
    return found, questions


@pytest.mark.case("I06")
def test_amounts_as_people_write_them():
    found, questions = read("1,250.50", "$1,250", "(3.50)", "12 lb", "—")
    assert found.amounts == (Decimal("1250.50"), Decimal(1250), Decimal("-3.50"), Decimal(12), None)
    assert (found.bad, questions.doubts) == ((), [])


@pytest.mark.case("I06")
def test_two_styles_in_one_column_are_asked_about():
    found, questions = read("1,250.50", "1.250,50")
    (doubt,) = questions.open
    assert (doubt.key, doubt.rows) == ("decimal.brought", (2, 3))
    found, questions = read("1,250.50", "1.250,50", **{"decimal.brought": "point"})
    assert (found.amounts, found.bad) == ((Decimal("1250.50"), None), (1,))


@pytest.mark.case("I06")
def test_a_word_where_an_amount_should_be_is_bad():
    found, _questions = read("12", "abc")
    assert (found.amounts, found.bad) == ((Decimal(12), None), (1,))


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("12,5", Decimal("12.5")),
        ("40,00", Decimal(40)),
        ("1.250,5", Decimal("1250.5")),
        ("1 250,5", Decimal("1250.5")),
        ("12.5 lb", Decimal("12.5")),
        ("½", Decimal("0.5")),
        ("4e1", None),
        ("٤٠", Decimal(40)),
        ("-3", Decimal(-3)),
        ("0", Decimal(0)),
        ("4000", Decimal(4000)),
        ("1,250", None),  # asked: 1.25 or 1250
        ("1.250", None),
    ],
)
def test_one_amount(text, amount):
    assert parse_amount(text) == amount


@pytest.mark.case("H07")
@pytest.mark.parametrize(("text", "point", "comma"), [("1,250", "1250", "1.25"), ("1.250", "1.25", "1250")])
def test_one_mark_and_three_digits_is_asked_about_unless_the_column_tells(text, point, comma):
    _found, questions = read(text)
    (doubt,) = questions.open
    assert [choice.words for choice in doubt.choices] == [
        f"{text} is {point}: the decimal mark is a point",
        f"{text} is {comma}: the decimal mark is a comma",
    ]
    assert read(text, "2.5")[0].amounts == (Decimal(point), Decimal("2.5"))
    assert read(text, "2,5")[0].amounts == (Decimal(comma), Decimal("2.5"))


@pytest.mark.case("H07")
def test_an_empty_cell_is_unknown_and_not_zero():
    assert read("", "0", "none")[0].amounts == (None, Decimal(0), Decimal(0))


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("1½", Decimal("1.5")),
        ("1 1/2", Decimal("1.5")),
        ("3/4 lb", Decimal("0.75")),
        ("12 bunches", Decimal(12)),
        ("~20", Decimal(20)),
        ("about 20", Decimal(20)),
        (".5", Decimal("0.5")),
        ("1'250.50", Decimal("1250.50")),
        ("1,250,000", Decimal(1250000)),
        ("12,34,567", None),
        ("12 apples", None),
        ("1/0", None),
        ("=SUM(A1)", None),
        ("1" * 30, None),
    ],
)
def test_more_ways_to_write_an_amount(text, amount):
    assert parse_amount(text) == amount


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("$4", Decimal(4)),
        ("4.00", Decimal(4)),
        ("$4.50/lb", Decimal("4.5")),
        ("3.00 per bunch", Decimal(3)),
        ("2 for $5", Decimal("2.5")),
        ("3/$10", Decimal(10) / 3),
        ("2,50 €", Decimal("2.5")),
        ("free", None),
    ],
)
def test_prices(text, price):
    assert parse_amount(text, money=True) == price


def test_a_number_of_the_sheet_needs_no_guessing():
    found, questions = read(Exact("1.125"), Exact("1250"))
    assert (found.amounts, questions.doubts) == ((Decimal("1.125"), Decimal(1250)), [])


def test_about_is_counted_and_percents_are_marked():
    assert read("~20", "30")[0].about == 1
    assert read("30%", "1.20", money=True)[0].percents == {0}
