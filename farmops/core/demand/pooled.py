"""The usual demand of every item and market at once: Newton's method with an arrow-shaped matrix.

Each item's few columns meet only the shared columns, so its block is eliminated and one small shared block is left.
"""

from dataclasses import dataclass

import numpy as np

from farmops.core.demand.factors import Priors
from farmops.core.demand.kernel import at_least, timed_slope
from farmops.core.demand.special import FloatArray

LONGEST_STEP = 1.5  # of a log mean in one step of Newton's method
HIGHEST_LOG_MEAN = 16.0


@dataclass(frozen=True, slots=True)
class Table:
    """Days sorted by item, with their columns.

    Attributes
    ----------
    own : (n, p) float
    shared : (n, s) float
    item : (n,) int
        Ascending.
    bounds : (items + 1,) int
        Rows bounds[i]:bounds[i+1] belong to item i.
    sold : (n,) float
    is_untimed : (n,) bool
    weight : (n,) float in [0, 1]
    offset : (n,) float
        Added to the log mean.
    """

    own: FloatArray
    shared: FloatArray
    item: np.ndarray
    bounds: np.ndarray
    sold: FloatArray
    is_untimed: np.ndarray
    weight: FloatArray
    offset: FloatArray


@dataclass(frozen=True, slots=True)
class Coefficients:
    """Values of the columns: `own` (items, p), `shared` (s,)."""

    own: FloatArray
    shared: FloatArray


@dataclass(frozen=True, slots=True)
class Covariance:
    """Posterior covariance in arrow form.

    Attributes
    ----------
    own : (items, p, p) float
        Inverse of each item's block.
    link : (items, p, s) float
        That inverse times the item's coupling with the shared columns.
    shared : (s, s) float
        Covariance of the shared columns.
    """

    own: FloatArray
    link: FloatArray
    shared: FloatArray

    def variance(self, item: int | None, own: FloatArray, shared: FloatArray) -> float:
        """Variance of own·(item's columns) + shared·(shared columns); item None has no columns."""
        if item is None:
            return float(shared @ self.shared @ shared)
        rest = shared - own @ self.link[item]
        return float(own @ self.own[item] @ own + rest @ self.shared @ rest)

    def variances(self, table: Table) -> FloatArray:
        """(n,) variance of the log mean of each row."""
        total, shared = np.empty(table.sold.size), self.shared
        for at in range(table.bounds.size - 1):
            rows = slice(int(table.bounds[at]), int(table.bounds[at + 1]))
            own = table.own[rows]
            rest = table.shared[rows] - own @ self.link[at]
            total[rows] = np.einsum("rp,rp->r", own @ self.own[at], own) + np.einsum("rs,rs->r", rest @ shared, rest)
        return total


@dataclass(frozen=True, slots=True)
class Slopes:
    """Score and information of each row in its log mean, without the weight; both (n,)."""

    score: FloatArray
    information: FloatArray


def log_means(table: Table, values: Coefficients) -> FloatArray:
    """(n,) log of the usual demand of each row."""
    eta = table.offset + table.shared @ values.shared + _own_part(table, values.own)
    return np.asarray(np.clip(eta, -HIGHEST_LOG_MEAN, HIGHEST_LOG_MEAN), dtype=np.float64)


def _own_part(table: Table, own: FloatArray) -> FloatArray:
    """(n,) what the item columns add with coefficients `own` (items, p)."""
    total = np.empty(table.sold.size)
    for at in range(table.bounds.size - 1):
        rows = slice(int(table.bounds[at]), int(table.bounds[at + 1]))
        total[rows] = table.own[rows] @ own[at]
    return total


def slopes(table: Table, eta: FloatArray, exposure: FloatArray, k: float) -> Slopes:
    """Score and information of each row.

    Parameters
    ----------
    table : Table
    eta : (n,) float
        Log means.
    exposure : (n,) float in (0, 1]
        Of a day of unknown sell-out time: the exposure if the crop had lasted.
    k : float, > 0
    """
    mean = np.exp(eta)
    score, information = timed_slope(table.sold, exposure, mean, k)
    untimed = table.is_untimed
    if untimed.any():
        tail = at_least(table.sold[untimed], (mean * exposure)[untimed], k)
        score[untimed] = tail.score
        information[untimed] = tail.information
    return Slopes(score, information)


def newton_step(
    table: Table, values: Coefficients, priors: Priors, slope: Slopes
) -> tuple[Coefficients, Covariance, float]:
    """One step towards the most probable coefficients.

    Parameters
    ----------
    table : Table
    values : Coefficients
        Where to start from.
    priors : Priors
    slope : Slopes
        At `values`.

    Returns
    -------
    Coefficients, Covariance (at `values`), float
        The longest change of a log mean.

    Raises
    ------
    numpy.linalg.LinAlgError
        If a block cannot be solved.
    """
    width = values.own.shape[1]
    own_precision = 1.0 / priors.own_sd**2
    shared_precision = 1.0 / priors.shared_sd**2
    block, pull = _item_sums(table, slope)
    own_block = block[:, :width, :width] + np.diag(own_precision)
    coupling = block[:, :width, width:]
    own_pull = pull - values.own * own_precision
    shared_block = block[:, width:, width:].sum(axis=0) + np.diag(shared_precision)
    shared_pull = (table.weight * slope.score) @ table.shared - (values.shared - priors.shared_mean) * shared_precision
    inverse = np.asarray(np.linalg.inv(own_block), dtype=np.float64)
    link = inverse @ coupling
    rest = shared_block - np.einsum("ips,ipt->st", coupling, link)
    shared_covariance = np.linalg.inv((rest + rest.T) / 2)
    shared_step = shared_covariance @ (shared_pull - np.einsum("ips,ip->s", link, own_pull))
    own_step = np.einsum("ipq,iq->ip", inverse, own_pull) - link @ shared_step
    change = table.shared @ shared_step + _own_part(table, own_step)
    longest = float(np.max(np.abs(change), initial=0.0))
    damp = min(1.0, LONGEST_STEP / longest) if longest > 0 else 1.0
    stepped = Coefficients(values.own + damp * own_step, values.shared + damp * shared_step)
    return stepped, Covariance(inverse, link, shared_covariance), longest


def _item_sums(table: Table, slope: Slopes) -> tuple[FloatArray, FloatArray]:
    """(items, p + s, p + s) information in the item's and the shared columns; (items, p) score in the item's."""
    items, width = table.bounds.size - 1, table.own.shape[1]
    both = np.empty((table.sold.size, width + table.shared.shape[1]))
    root = np.sqrt(table.weight * slope.information)[:, None]  # a product with itself takes half the time
    np.multiply(table.own, root, out=both[:, :width])
    np.multiply(table.shared, root, out=both[:, width:])
    score = table.weight * slope.score
    block, pull = np.empty((items, both.shape[1], both.shape[1])), np.empty((items, width))
    for at in range(items):
        rows = slice(int(table.bounds[at]), int(table.bounds[at + 1]))
        block[at] = both[rows].T @ both[rows]
        pull[at] = score[rows] @ table.own[rows]
    return block, pull
