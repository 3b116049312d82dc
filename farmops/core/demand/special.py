"""Special functions of the count models, in numpy alone."""

from functools import cache

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

_STIRLING_FROM = 10.0  # above this six terms of Stirling's series are exact to double precision
_STIRLING = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360)  # Abramowitz & Stegun 6.1.41
_SMALLEST = 1e-300
_FRACTION_STEPS = 400
_FRACTION_PRECISION = 1e-13


def log_gamma(x: npt.ArrayLike) -> FloatArray:
    """Natural logarithm of the gamma function.

    Parameters
    ----------
    x : array of float, any shape, > 0

    Returns
    -------
    array of float, same shape

    Notes
    -----
    Stirling's series (Abramowitz & Stegun 6.1.41) after moving the argument up by the recurrence.
    """
    z = np.array(x, dtype=np.float64)
    low = z < _STIRLING_FROM
    shift = np.zeros_like(z)
    if low.any():
        small = z[low]
        rising = small.copy()
        for step in range(1, int(_STIRLING_FROM)):
            rising *= small + step
        shift[low] = -np.log(rising)
        z[low] = small + _STIRLING_FROM
    inverse = 1.0 / z
    square = inverse * inverse
    tail = np.zeros_like(z)
    for coefficient in reversed(_STIRLING):
        tail = tail * square + coefficient
    series: FloatArray = (z - 0.5) * np.log(z) - z + 0.5 * np.log(2 * np.pi) + tail * inverse
    return np.asarray(series + shift, dtype=np.float64)


def _beta_fraction(a: FloatArray, b: FloatArray, x: FloatArray) -> FloatArray:
    """Continued fraction of the incomplete beta function (Abramowitz & Stegun 26.5.8, Lentz's form)."""

    def away(value: FloatArray) -> FloatArray:
        return np.where(np.abs(value) < _SMALLEST, _SMALLEST, value)

    c = np.ones_like(x)
    d = 1.0 / away(1.0 - (a + b) * x / (a + 1.0))
    total = d.copy()
    for m in range(1, _FRACTION_STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d = 1.0 / away(1.0 + even * d)
        c = away(1.0 + even / c)
        total = total * d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        d = 1.0 / away(1.0 + odd * d)
        c = away(1.0 + odd / c)
        change = d * c
        total = total * change
        if bool(np.all(np.abs(change - 1.0) < _FRACTION_PRECISION)):
            break
    return total


def beta_share(a: npt.ArrayLike, b: npt.ArrayLike, x: npt.ArrayLike) -> FloatArray:
    """Regularised incomplete beta function I_x(a, b).

    Parameters
    ----------
    a, b : array of float, > 0
    x : array of float in [0, 1]
        Broadcast together.

    Returns
    -------
    array of float in [0, 1]

    Notes
    -----
    The negative binomial's upper tail is P(D >= q) = I_x(q, k) with x = mean / (k + mean)
    (Abramowitz & Stegun 26.5.26).
    """
    log_gammas = log_gamma(a) + log_gamma(b)
    a_, b_, x_ = (np.array(part, dtype=np.float64) for part in np.broadcast_arrays(a, b, x))
    turned = x_ > (a_ + 1.0) / (a_ + b_ + 2.0)
    first = np.where(turned, b_, a_)
    second = np.where(turned, a_, b_)
    inside = np.clip(np.where(turned, 1.0 - x_, x_), _SMALLEST, 1.0)
    log_front = (
        log_gamma(first + second)
        - log_gammas
        + first * np.log(inside)
        + second * np.log1p(-np.minimum(inside, 1.0 - 1e-16))
    )
    share = np.exp(log_front) * _beta_fraction(first, second, inside) / first
    return np.asarray(np.clip(np.where(turned, 1.0 - share, share), 0.0, 1.0), dtype=np.float64)


@cache
def gauss_hermite(nodes: int) -> tuple[FloatArray, FloatArray]:
    """Nodes and weights that average a function over a standard normal.

    Parameters
    ----------
    nodes : int, >= 1

    Returns
    -------
    (nodes,) float, (nodes,) float
        Weights add up to 1.
    """
    at, weights = np.polynomial.hermite_e.hermegauss(nodes)
    return at, weights / weights.sum()
