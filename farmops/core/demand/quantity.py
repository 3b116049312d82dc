"""How many to have on the table for one market day with uncertain demand."""

from dataclasses import dataclass

import numpy as np

from farmops.core.demand.special import FloatArray

HIGHEST_RATIO = (
    0.995  # where a leftover is worth what it cost, more would never hurt on paper; somebody has to carry it
)


def critical_ratio(price: float, unit_cost: float, leftover_value: float) -> float:
    """Share of days on which the last unit brought should still be sold.

    Parameters
    ----------
    price, unit_cost, leftover_value : float
        [money per step]

    Returns
    -------
    float in [0, 0.995]
        (price - cost) / (price - leftover); 0 where nothing is earned by selling.

    References
    ----------
    .. [1] L. V. Snyder and Z.-J. M. Shen, Fundamentals of Supply Chain Theory, 2nd ed., 2019, ch. 4.
    """
    if price <= unit_cost:
        return 0.0
    if leftover_value >= unit_cost:
        return HIGHEST_RATIO
    return min((price - unit_cost) / (price - leftover_value), HIGHEST_RATIO)


@dataclass(frozen=True, slots=True)
class Worth:
    """What the steps of a crop are worth on one day.

    Attributes
    ----------
    price, unit_cost : float
        [money per step]
    leftovers : tuple of (int, float)
        (up to so many, worth each), in order; the last count is ignored: it takes all the rest.
    """

    price: float
    unit_cost: float
    leftovers: tuple[tuple[int, float], ...]


def expected_sold(probabilities: FloatArray) -> FloatArray:
    """(m + 1,) expected sales with 0..m on the table, for (m,) probabilities of demand 0..m-1."""
    beyond = 1.0 - np.cumsum(probabilities)
    return np.concatenate([[0.0], np.cumsum(np.maximum(beyond, 0.0) + 0.0)])


def expected_profit(probabilities: FloatArray, worth: Worth) -> FloatArray:
    """Expected profit with 0..m on the table, all of it paid for.

    Parameters
    ----------
    probabilities : (m,) float
        Of demand 0..m-1. [-]
    worth : Worth

    Returns
    -------
    (m + 1,) float
        [money]
    """
    below = np.concatenate([[0.0], np.cumsum(np.cumsum(probabilities))])  # expected leftovers
    stock = np.arange(below.size, dtype=np.float64)
    earned = worth.price * (stock - below) - worth.unit_cost * stock
    taken = 0
    for at, (room, value) in enumerate(worth.leftovers):
        is_last = at == len(worth.leftovers) - 1
        first = _shifted(below, taken)
        taken += max(room, 0)
        earned = earned + value * (first if is_last else first - _shifted(below, taken))
    return np.asarray(earned, dtype=np.float64)


def _shifted(below: FloatArray, by: int) -> FloatArray:
    """Expected leftovers beyond the first `by`."""
    if by <= 0:
        return below
    return np.concatenate([np.zeros(min(by, below.size)), below])[: below.size]


def best_quantity(probabilities: FloatArray, worth: Worth) -> int:
    """The smallest stock with the greatest expected profit.

    Parameters
    ----------
    probabilities : (m,) float
    worth : Worth

    Returns
    -------
    int, >= 0
        [steps]

    Notes
    -----
    Leftovers worth as much as they cost would call for no end; the quantity then stops at
    `HIGHEST_RATIO` of the days. With one leftover value this is the critical ratio's quantile.
    """
    if worth.price <= worth.unit_cost:
        return 0
    profit = expected_profit(probabilities, worth)
    most = int(np.searchsorted(np.cumsum(probabilities), HIGHEST_RATIO))
    considered = profit[: most + 1]
    best = float(considered.max())
    return int(np.argmax(considered >= best - 1e-9 * max(1.0, abs(best))))
