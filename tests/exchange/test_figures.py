"""Typed prices, costs and guesses: read as people type them, kept as typed where they cannot be read."""

from datetime import date

import pytest

from farmops.exchange.figures import FarmFigures, read_figure
from farmops.planning.economics import Economics

NOTED = {
    "basil": Economics(price=2.5, unit="bunch"),
    "salad": Economics(price=9.0, unit_cost=3.0, step=0.25, unit="lb"),
}
PLACES = [("Town", "basil"), ("Town", "salad")]


@pytest.mark.parametrize(
    ("text", "value", "is_share"),
    [
        ("1.20", 1.2, False),
        ("1,20", 1.2, False),
        (" $ 3 ", 3.0, False),
        ("½", 0.5, False),
        ("30 %", 0.3, True),
        ("12,5%", 0.125, True),
        ("٤٠", 40.0, False),
        ("0", 0.0, False),
        ("", None, False),
        ("   ", None, False),
    ],
)
def test_figures_are_read_as_typed(text, value, is_share):
    figure = read_figure("f.cost", text, may_be_share=True)
    assert (figure.text, figure.value, figure.is_share, figure.trouble) == (text, value, is_share, "")


@pytest.mark.parametrize(
    ("text", "trouble"),
    [
        ("1,250", "1.250 or 1250? Type it without the mark that is unclear."),
        ("-3", "This cannot be less than nothing."),
        ("dear", "Type a number, such as 1.20."),
        ("3 lb", "Type a number, such as 1.20."),
        ("4e1", "Type a number, such as 1.20."),
        ("nan", "Type a number, such as 1.20."),
        ("9" * 12, "This is too much to be meant. Type a smaller number."),
        ("250 %", "This is too much to be meant. Type a smaller number."),
    ],
)
def test_what_cannot_be_read_keeps_its_text_and_says_what_to_do(text, trouble):
    figure = read_figure("f.cost", text, may_be_share=True)
    assert (figure.text, figure.value) == (text, None)
    assert figure.trouble == trouble


def test_a_price_is_no_share():
    assert read_figure("f.price.basil", "30%").trouble == "Type an amount here, not a share."


def test_typed_figures_stand_before_noted_ones_and_general_ones_fill_what_neither_knows():
    typed = FarmFigures.read(
        {"f.cost": "40%", "f.leftover": "0.5", "f.price.basil": "3", "f.leftover.salad": "10 %"}, NOTED, PLACES
    )
    found = typed.economics(NOTED)
    assert (found["basil"].price, found["basil"].unit_cost, found["basil"].leftover_value) == pytest.approx(
        (3, 1.0, 0.5)
    )
    assert (found["salad"].price, found["salad"].unit_cost, found["salad"].leftover_value) == pytest.approx((9, 3, 0.9))


def test_without_anything_typed_the_notebook_stands():
    assert FarmFigures.read({}, NOTED, PLACES).economics(NOTED) == NOTED


def test_guesses_are_typed_in_units_and_counted_in_steps():
    typed = FarmFigures.read({"f.guess.4.Town.salad": "6", "f.guess.4.Town.basil": "0"}, NOTED, PLACES)
    assert typed.guesses_in_steps({("Town", "basil"): 12.0}, NOTED) == {
        ("Town", "basil"): 12.0,
        ("Town", "salad"): 24.0,
    }


def test_a_next_day_is_taken_where_it_is_a_day():
    assert FarmFigures.read({"f.day.Town": "2026-09-12"}, NOTED, PLACES).next_days == {"Town": date(2026, 9, 12)}
    assert FarmFigures.read({"f.day.Town": "someday"}, NOTED, PLACES).next_days == {}
