import pytest

from farmops.planning.economics import Economics


def test_starting_guesses_fill_what_the_sheet_does_not_say():
    full = Economics(price=4.0).filled()
    assert (full.price, full.unit_cost, full.leftover_value) == (4.0, pytest.approx(1.2), 0.0)


def test_the_farms_own_figures_are_kept_and_guesses_are_named():
    own = Economics(price=4.0, unit_cost=1.0, leftover_value=0.5)
    assert own.filled() == own
    assert own.assumed == frozenset()
    assert Economics(price=4.0).assumed == {"unit_cost", "leftover_value"}


def test_money_of_one_step():
    assert Economics(price=8.0, unit_cost=2.0, leftover_value=0.4, step=0.25).per_step() == (2.0, 0.5, 0.1)
