"""When customers come: the share of a day's customers up to a time of the opening hours."""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from farmops.core.demand.special import FloatArray

BINS = 20  # of the opening hours; a quarter of an hour of five
GRID = np.linspace(0.0, 1.0, BINS + 1)
DEFAULT_A, DEFAULT_B = 1.2, 1.5  # mornings somewhat busier


def kumaraswamy_share(u: npt.ArrayLike, a: float, b: float) -> FloatArray:
    """1 - (1 - u^a)^b, a two-parameter share of customers by u.

    Parameters
    ----------
    u : array of float in [0, 1]
        Share of the opening hours. [-]
    a, b : float, > 0

    Returns
    -------
    array of float in [0, 1]

    References
    ----------
    .. [1] P. Kumaraswamy, "A generalized probability density function for double-bounded random
       processes", Journal of Hydrology, vol. 46, 1980.
    """
    at = np.clip(np.asarray(u, dtype=np.float64), 0.0, 1.0)
    return np.asarray(1.0 - (1.0 - at**a) ** b, dtype=np.float64)


def _default_bins() -> FloatArray:
    return np.diff(kumaraswamy_share(GRID, DEFAULT_A, DEFAULT_B))


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """Shares of the day's customers in each twentieth of the opening hours.

    Attributes
    ----------
    bins : (20,) float
        Adds up to 1.
    is_learned : bool
        From the farm's own sell-out times; else the default, Kumaraswamy's curve with a 1.2, b 1.5.
    """

    bins: FloatArray = field(default_factory=_default_bins)
    is_learned: bool = False


DEFAULT_PROFILE = Profile()


def coverage(start: FloatArray, stop: FloatArray) -> FloatArray:
    """(m, 20) which part of each twentieth of the opening hours lies between `start` and `stop`, each (m,)."""
    inside = np.minimum(stop[:, None], GRID[None, 1:]) - np.maximum(start[:, None], GRID[None, :-1])
    return np.asarray(np.clip(inside * BINS, 0.0, 1.0), dtype=np.float64)
