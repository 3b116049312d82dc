"""What one market day says about the usual demand: the gamma-Poisson day with exposure, and "at least q".

A day's demand is Poisson around its own rate, and that rate is gamma distributed around the usual
demand `mean` with shape `k` (so the day's demand is negative binomial with variance mean + mean²/k).
While the crop stood on the table for the share `exposure` of the day's usual customers, `sold` went.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from farmops.core.demand.special import FloatArray, beta_share, log_gamma

_LEAST_TAIL = 1e-280
_LEAST_BY_SUM = 1e-3  # one minus a sum keeps about twelve digits above this
_MOST_TERMS = 400  # beyond that many the continued fraction is quicker
_LEAST_LOG_START = -600.0  # of the first term; below it the terms would vanish


def log_rising(k: float, counts: npt.ArrayLike) -> FloatArray:
    """log Γ(k + y) - log Γ(k) for each count y.

    Parameters
    ----------
    k : float, > 0
    counts : (n,) float, >= 0

    Returns
    -------
    (n,) float

    Notes
    -----
    Whole counts read a running sum of log(k + j), which is exact and quick.
    """
    y = np.asarray(counts, dtype=np.float64)
    if y.size == 0:
        return np.zeros(0)
    whole = y.astype(np.int64)
    if bool((whole == y).all()) and y.max() < 100_000:
        steps = np.log(k + np.arange(int(y.max()), dtype=np.float64))
        return np.asarray(np.concatenate([[0.0], np.cumsum(steps)])[whole], dtype=np.float64)
    return np.asarray(log_gamma(k + y) - log_gamma(np.float64(k)), dtype=np.float64)


def timed_log(sold: FloatArray, exposure: FloatArray, mean: FloatArray, k: float) -> FloatArray:
    """Log-likelihood of a day with known exposure, but for terms free of mean and k.

    Parameters
    ----------
    sold : (n,) float, >= 0
        [steps]
    exposure : (n,) float in (0, 1]
        Share of the day's usual customers who found the crop on the table. [-]
    mean : (n,) float, > 0
        Usual demand of a whole day. [steps]
    k : float, > 0
        Shape of the day-to-day spread. [-]

    Returns
    -------
    (n,) float
        log of the integral of L^y e^(-L e) Gamma(L; k, mean) over L.
    """
    return np.asarray(
        log_rising(k, sold) + k * np.log(k / mean) - (k + sold) * np.log(k / mean + exposure), dtype=np.float64
    )


def timed_slope(sold: FloatArray, exposure: FloatArray, mean: FloatArray, k: float) -> tuple[FloatArray, FloatArray]:
    """Score and information of `timed_log` in log mean.

    Parameters
    ----------
    sold, exposure, mean, k
        As for `timed_log`.

    Returns
    -------
    (n,) float, (n,) float
        A crop that was gone at once weighs little: the information is at most `sold`.
    """
    spread = k + mean * exposure
    score = k * (sold - mean * exposure) / spread
    information = (k + sold) * k * mean * exposure / spread**2
    return score, information


@dataclass(frozen=True, slots=True)
class AtLeast:
    """What "at least q, time unknown" says.

    Attributes
    ----------
    log : (n,) float
        log P(D >= q).
    score, information : (n,) float
        In log mean.
    expected, variance : (n,) float
        Of the demand given that it was at least q. [steps], [steps²]
    """

    log: FloatArray
    score: FloatArray
    information: FloatArray
    expected: FloatArray
    variance: FloatArray


def _tail_and_point(q: FloatArray, x: FloatArray, k: float) -> tuple[FloatArray, FloatArray]:
    """P(D >= q) and log P(D = q); summed term by term where that is quick and loses no digits."""
    most = int(q.max(initial=0.0))
    start = k * np.log1p(-x)
    if bool((q.astype(np.int64) == q).all()):
        log_point = np.concatenate([[0.0], np.cumsum(np.log((k + np.arange(most)) / (np.arange(most) + 1.0)))])[
            q.astype(np.int64)
        ]
        log_point = log_point + start + q * np.log(x)
        if most <= _MOST_TERMS and start.min(initial=0.0) > _LEAST_LOG_START:
            tail = 1.0 - _sum_below(q, x, k, np.exp(start))
            far = tail < _LEAST_BY_SUM
            if far.any():
                tail[far] = beta_share(q[far], k, x[far])
            return np.maximum(tail, _LEAST_TAIL), np.asarray(log_point, dtype=np.float64)
    else:
        log_point = log_gamma(k + q) - log_gamma(np.float64(k)) - log_gamma(q + 1.0) + start + q * np.log(x)
    return np.maximum(beta_share(q, k, x), _LEAST_TAIL), np.asarray(log_point, dtype=np.float64)


def _sum_below(q: FloatArray, x: FloatArray, k: float, first: FloatArray) -> FloatArray:
    """(n,) P(D < q) for whole q; `first` is P(D = 0). Rows with the longest sums come first, so that all shrink."""
    order = np.argsort(-q, kind="stable")
    term, ratio, total = first[order], x[order], np.zeros(q.size)
    counted = q.size - np.searchsorted(q[order[::-1]], np.arange(int(q.max(initial=0.0))), side="right")
    for count, rows in enumerate(counted.tolist()):
        total[:rows] += term[:rows]
        term[:rows] *= ratio[:rows]
        term[:rows] *= (k + count) / (count + 1.0)
    below = np.empty(q.size)
    below[order] = total
    return below


def at_least(least: FloatArray, mean: FloatArray, k: float) -> AtLeast:
    """The demand was at least `least`, and no more is known.

    Parameters
    ----------
    least : (n,) float, >= 1
        What was sold before the table was empty. [steps]
    mean : (n,) float, > 0
        [steps]
    k : float, > 0

    Returns
    -------
    AtLeast

    Notes
    -----
    With x = mean/(k+mean), P(D >= q) = I_x(q, k), and since dx/dlog mean = x(1-x) the score is q times
    the hazard P(D=q)/P(D>=q). The conditional mean and variance follow from the score
    k(E - mean)/(k + mean) and from the information
    (k+E) k mean/(k+mean)² - (k/(k+mean))² Var.
    """
    q = np.asarray(least, dtype=np.float64)
    x = mean / (k + mean)
    tail, log_point = _tail_and_point(q, x, k)
    score = q * np.exp(np.minimum(log_point - np.log(tail), 0.0))
    information = np.maximum(score * (score + k * (mean - q) / (k + mean)), 1e-12)
    expected = mean + score * (k + mean) / k
    share = k / (k + mean)
    variance = np.maximum(((k + expected) * share * mean / (k + mean) - information) / share**2, 0.0)
    return AtLeast(np.log(tail), score, information, expected, variance)
