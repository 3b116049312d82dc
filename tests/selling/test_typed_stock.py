"""Amounts and prices of what is sold, as typed and as read."""

import pytest

from farmops.core.quantities import NG
from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.typed_stock import (
    in_figures,
    money_in_words,
    per_unit,
    stored_amount,
    stored_cents,
    with_unit,
)
from tests.selling.market import lb


@pytest.mark.parametrize(
    ("typed", "unit", "stored"),
    [
        ("12,5", "lb", lb("12.5")),
        ("40,00", "lb", lb(40)),
        ("1.250,5", "lb", lb("1250.5")),
        ("1 250,5", "lb", lb("1250.5")),
        ("12.5 lb", "lb", lb("12.5")),
        ("½", "lb", lb("0.5")),
        ("8 oz", "lb", lb("0.5")),
        ("2 lb 6 oz", "lb", lb("2.375")),
        ("1 kg", "lb", NG["kg"]),
        ("٤٠", "bunch", 40),
        ("40 bunches", "bunch", 40),
    ],
)
@pytest.mark.case("H07")
def test_amounts_are_read_as_people_type_them(typed, unit, stored):
    """woogles-io/liwords #1367, whatwg/html #7497, betagouv/mrs #1053 (seen)."""
    assert stored_amount(typed, unit, field="amount") == stored


@pytest.mark.parametrize(
    ("typed", "unit", "words"),
    [
        ("1,250", "lb", "“1,250” can be read two ways"),
        ("1.250", "lb", "“1.250” can be read two ways"),
        ("4e1", "lb", "“4e1” cannot be read as an amount"),
        ("-3", "bunch", "“-3” is less than nothing"),
        ("", "bunch", "Type how much"),
        ("2.5", "bunch", "“2.5” is not a whole number"),
        ("3 lb", "bunch", "“3 lb”: this is counted in bunch"),
    ],
)
@pytest.mark.case("H07")
def test_what_is_none_or_two_is_refused_in_words(typed, unit, words):
    """mracko/MSFS #37, django #8365 (seen)."""
    with pytest.raises(Refused) as refused:
        stored_amount(typed, unit, field="amount")
    assert (str(refused.value)[: len(words)], refused.value.field) == (words, "amount")


@pytest.mark.case("H07")
def test_nothing_is_asked_unless_none_is_an_ordinary_answer():
    """django #8365 (seen)."""
    with pytest.raises(NeedsYes):
        stored_amount("0", "lb", field="amount")
    assert stored_amount("0", "lb", field="amount", may_be_zero=True) == 0


@pytest.mark.case("H07")
@pytest.mark.parametrize(
    ("typed", "unit", "usual"), [("4000", "bunch", 40), ("4000", "lb", lb(40)), ("64000 oz", "lb", lb(40))]
)
def test_a_hundred_times_the_usual_is_asked(typed, unit, usual):
    """Tried with Django 5.2.19 (seen): 40.00 became 4000 without a word."""
    with pytest.raises(NeedsYes, match="is 100 times the usual") as asked:
        stored_amount(typed, unit, field="own", usual=usual)
    assert asked.value.question == "own-unusual"
    assert stored_amount(typed, unit, field="own", usual=usual, yes=frozenset({"own-unusual"})) == 100 * usual
    assert stored_amount("48", unit, field="own", usual=usual) == (48 if unit == "bunch" else lb(48))


@pytest.mark.parametrize(("typed", "cents"), [("3.50", 350), ("$4", 400), ("4 $", 400), ("2,5", 250), ("12", 1200)])
def test_prices_are_whole_cents(typed, cents):
    assert stored_cents(typed, field="price") == cents


@pytest.mark.parametrize("typed", ["3.505", "1/3", "4 lb", "free"])
def test_what_is_no_price_is_refused(typed):
    with pytest.raises(Refused):
        stored_cents(typed, field="price")


def test_figures_read_without_noughts_and_weights_with_their_unit():
    assert [in_figures(lb("12.50"), "lb"), in_figures(lb(10), "lb"), in_figures(48, "bunch")] == ["12.5", "10", "48"]
    assert [with_unit(lb("0.125"), "lb"), with_unit(48, "bunch")] == ["0.125 lb", "48"]
    assert [per_unit("lb"), per_unit("bunch"), money_in_words(159000), money_in_words(5)] == [
        NG["lb"],
        1,
        "$1,590.00",
        "$0.05",
    ]
