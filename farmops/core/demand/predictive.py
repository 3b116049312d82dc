"""The distribution of one day's demand when the usual demand itself is not known exactly."""

from dataclasses import dataclass

import numpy as np

from farmops.core.demand.special import FloatArray, gauss_hermite

NODES = 9
MOST_COUNT = 200_000
HIGHEST_LOG_MEAN = float(np.log(50_000))  # a table of counts must stay finite; no stall sells that many of a thing
_REACH = 3.3  # standard deviations of the log mean that the table must reach
_TAIL = 9.0  # and standard deviations of a day beyond that


@dataclass(frozen=True, slots=True)
class LogMean:
    """One possible state of the day: its chance, and what is known of its usual demand.

    Attributes
    ----------
    chance : float in [0, 1]
    eta : float
        Centre of the log mean.
    sd : float, >= 0
    """

    chance: float
    eta: float
    sd: float


def negative_binomial(mean: FloatArray, k: float, most: int) -> FloatArray:
    """P(D = d) for each mean.

    Parameters
    ----------
    mean : (n,) float, > 0
        [steps]
    k : float, > 0
        Variance is mean + mean²/k.
    most : int, >= 0

    Returns
    -------
    (n, most + 1) float
    """
    counts = np.arange(most, dtype=np.float64)
    coefficient = np.concatenate([[0.0], np.cumsum(np.log(k + counts) - np.log(counts + 1.0))])
    x = mean / (k + mean)
    log_p = coefficient + k * np.log1p(-x)[:, None] + np.arange(most + 1.0) * np.log(x)[:, None]
    return np.asarray(np.exp(log_p), dtype=np.float64)


def predictive(states: tuple[LogMean, ...], k: float, nodes: int = NODES) -> FloatArray:
    """P(D = d), averaged over the states and over the normal log mean.

    Parameters
    ----------
    states : tuple of LogMean
        Chances add up to 1.
    k : float, > 0
    nodes : int
        Of Gauss-Hermite quadrature.

    Returns
    -------
    (m,) float
        For d = 0..m-1; adds up to 1.
    """
    at, weights = gauss_hermite(nodes)
    means = np.concatenate([np.exp(np.clip(state.eta + state.sd * at, -16.0, HIGHEST_LOG_MEAN)) for state in states])
    chances = np.concatenate([state.chance * weights for state in states])
    far = max(float(np.exp(min(state.eta + _REACH * state.sd, HIGHEST_LOG_MEAN))) for state in states)
    most = int(min(np.ceil(far + _TAIL * np.sqrt(far + far**2 / k) + 20), MOST_COUNT))
    mixed = chances @ negative_binomial(means, k, most)
    total = np.cumsum(mixed)
    kept = int(np.searchsorted(total, total[-1] * (1 - 1e-9))) + 1
    return np.asarray(mixed[:kept] / mixed[:kept].sum(), dtype=np.float64)


def quantile(probabilities: FloatArray, share: float) -> int:
    """Smallest count whose distribution function reaches `share`."""
    return min(int(np.searchsorted(np.cumsum(probabilities), share - 1e-12)), probabilities.size - 1)
