import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import nbinom

from farmops.core.sizing import market_pieces


def negative_binomial(mean: float, k: float) -> np.ndarray:
    demands = np.arange(int(nbinom.isf(1e-10, k, k / (k + mean))) + 2)
    chances = nbinom.pmf(demands, k, k / (k + mean))
    return chances / chances.sum()


def expected_sales(chances: np.ndarray, brought: int) -> float:
    return float(np.minimum(np.arange(len(chances)), brought) @ chances)


@pytest.mark.parametrize(("mean", "k"), [(12, 4), (20, 8), (2.5, 8), (140, 6)])
def test_pieces_run_between_the_quantiles_and_hold_expected_sales_there(mean, k):
    chances = negative_binomial(mean, k)
    pieces = market_pieces(list(chances), price=3.0)
    brought = np.cumsum([piece.quantity for piece in pieces])
    # Quantiles by scipy, counted once each and without a quantile of 0.
    quantiles = sorted({int(nbinom.ppf(q, k, k / (k + mean))) for q in (0.25, 0.5, 0.7, 0.85, 0.96)} - {0})
    assert list(brought) == quantiles
    sold = np.cumsum([piece.quantity * piece.chance for piece in pieces])
    assert list(sold) == pytest.approx([expected_sales(chances, q) for q in quantiles], abs=1e-7)


@given(
    weights=st.lists(st.integers(0, 50), min_size=1, max_size=40).filter(any),
    price=st.floats(0.1, 20),
    left=st.floats(0, 1),
)
def test_worth_falls_and_a_leftover_counts_when_it_is_not_sold(weights, price, left):
    chances = [weight / sum(weights) for weight in weights]
    pieces = market_pieces(chances, price, left * price)
    worths = [piece.worth for piece in pieces]
    assert worths == sorted(worths, reverse=True) or np.all(np.diff(worths) < 1e-9)
    for piece in pieces:
        assert piece.worth == pytest.approx(price * piece.chance + left * price * (1 - piece.chance), rel=1e-9)


def test_no_demand_has_no_pieces_and_a_certain_one_has_one():
    assert market_pieces([1.0], 3.0) == ()
    (piece,) = market_pieces([0.0, 0.0, 0.0, 0.0, 1.0], 3.0)
    assert (piece.quantity, piece.worth, piece.chance) == (4.0, 3.0, 1.0)


@pytest.mark.parametrize(
    ("chances", "price", "left"),
    [([0.5, 0.4], 1.0, 0.0), ([1.2, -0.2], 1.0, 0.0), ([0.5, 0.5], 1.0, 1.5), ([float("nan")], 1.0, 0.0)],
)
def test_chances_and_leftovers_that_cannot_be_are_refused(chances, price, left):
    with pytest.raises(ValueError, match=r"chances|leftover"):
        market_pieces(chances, price, left)
