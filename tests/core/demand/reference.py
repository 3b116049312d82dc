"""Small reference formulas that the product does not need, to hold published figures against its own kernels."""

import math
from collections.abc import Sequence

import numpy as np
from scipy import optimize, stats


def normal_newsvendor(holding: float, shortage: float, mean: float, sd: float) -> tuple[float, float]:
    """Best stock and its expected cost for normal demand."""
    z = stats.norm.ppf(shortage / (holding + shortage))
    return mean + z * sd, (holding + shortage) * sd * stats.norm.pdf(z)


def normal_newsvendor_cost(stock: float, holding: float, shortage: float, mean: float, sd: float) -> float:
    """Expected cost of a given stock for normal demand."""
    short, left = normal_loss(stock, mean, sd)
    return holding * left + shortage * short


def normal_loss(stock: float, mean: float, sd: float) -> tuple[float, float]:
    """Expected shortage and expected leftovers for normal demand."""
    z = (stock - mean) / sd
    short = sd * (stats.norm.pdf(z) - z * stats.norm.sf(z))
    return short, short + stock - mean


def kaplan_meier(times: Sequence[float], seen: Sequence[bool]) -> dict[float, float]:
    """Share still going after each time at which something ended."""
    share, answer = 1.0, {}
    for time in sorted({time for time, was_seen in zip(times, seen, strict=True) if was_seen}):
        at_risk = sum(other >= time for other in times)
        ended = sum(other == time and was_seen for other, was_seen in zip(times, seen, strict=True))
        share *= 1 - ended / at_risk
        answer[time] = share
    return answer


def wilson(part: int, whole: int) -> tuple[float, float]:
    """95 % interval of a share."""
    z = stats.norm.ppf(0.975)
    share = part / whole
    centre = (share + z**2 / (2 * whole)) / (1 + z**2 / whole)
    half = z * math.sqrt(share * (1 - share) / whole + z**2 / (4 * whole**2)) / (1 + z**2 / whole)
    return max(centre - half, 0.0), centre + half


def censored_normal(values: Sequence[float], cut: float, count_cut: int) -> tuple[float, float]:
    """Mean and spread of a normal of which `count_cut` values are only known to exceed `cut`."""

    def minus_log(at: np.ndarray) -> float:
        mean, sd = at[0], math.exp(at[1])
        return -float(np.sum(stats.norm.logpdf(values, mean, sd)) + count_cut * stats.norm.logsf(cut, mean, sd))

    best = optimize.minimize(minus_log, [float(np.mean(values)), math.log(0.1)], method="Nelder-Mead")
    best = optimize.minimize(minus_log, best.x, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12})
    return float(best.x[0]), math.exp(best.x[1])
