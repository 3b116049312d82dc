"""How much demand varies from day to day around its usual height: the shape k, shared by the farm."""

import numpy as np

from farmops.core.demand.kernel import at_least, timed_log
from farmops.core.demand.special import FloatArray

LOG_K_MEAN, LOG_K_SD = float(np.log(8.0)), 0.5  # prior of log k
LEAST_K, MOST_K = 0.5, 200.0
_STEP = 0.05
_LONGEST_STEP = 1.5


def log_posterior(
    log_k: float,
    *,
    sold: FloatArray,
    exposure: FloatArray,
    mean: FloatArray,
    is_untimed: np.ndarray,
    weight: FloatArray,
    leverage: FloatArray,
) -> float:
    """Log posterior density of log k with the means given, but for a constant.

    Parameters
    ----------
    log_k : float
    sold, exposure, mean : (n,) float
    is_untimed : (n,) bool
    weight : (n,) float in [0, 1]
    leverage : (n,) float in [0, 1]
        How much each day pulls its own mean; without it fitted means would make demand look too steady
        (Laplace's correction, as if the determinant of the information were integrated out).
    """
    k = float(np.exp(log_k))
    timed = ~is_untimed
    total = float(np.sum(weight[timed] * timed_log(sold[timed], exposure[timed], mean[timed], k)))
    if is_untimed.any():
        tail = at_least(sold[is_untimed], (mean * exposure)[is_untimed], k)
        total += float(np.sum(weight[is_untimed] * tail.log))
    reached = mean * exposure
    total -= 0.5 * float(np.sum(leverage * np.log(k * reached / (k + reached))))
    return total - 0.5 * ((log_k - LOG_K_MEAN) / LOG_K_SD) ** 2


def improve_k(
    k: float,
    *,
    sold: FloatArray,
    exposure: FloatArray,
    mean: FloatArray,
    is_untimed: np.ndarray,
    weight: FloatArray,
    leverage: FloatArray,
) -> float:
    """One guarded step of Newton's method in log k; arguments as for `log_posterior`."""
    here = float(np.log(k))

    def value(log_k: float) -> float:
        return log_posterior(
            log_k,
            sold=sold,
            exposure=exposure,
            mean=mean,
            is_untimed=is_untimed,
            weight=weight,
            leverage=leverage,
        )

    down, centre, up = value(here - _STEP), value(here), value(here + _STEP)
    slope = (up - down) / (2 * _STEP)
    bend = max(-(up - 2 * centre + down) / _STEP**2, 0.5)
    step = float(np.clip(slope / bend, -_LONGEST_STEP, _LONGEST_STEP))
    return float(np.clip(np.exp(here + step), LEAST_K, MOST_K))
