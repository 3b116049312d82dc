"""How customers spread over the opening hours."""

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from farmops.proving.worlds.parts import Market, World

Floats = npt.NDArray[np.float64]
GRID = 1000
LATE = 0.6  # of the opening hours, by when a late crowd has not half come


@lru_cache(maxsize=64)
def course(arrivals: tuple[tuple[float, float, float], ...]) -> tuple[Floats, Floats]:
    """Share of the day (GRID + 1 points from 0 to 1) and share of customers come by then."""
    middles = (np.arange(GRID) + 0.5) / GRID
    density = np.zeros(GRID)
    for weight, a, b in arrivals:
        part = middles ** (a - 1) * (1 - middles) ** (b - 1)
        density += weight * part / part.sum()
    come = np.concatenate([[0.0], np.cumsum(density)])
    return np.linspace(0, 1, GRID + 1), come / come[-1]


def arrival_times(market: Market, count: int, rng: np.random.Generator) -> Floats:
    """Sorted times of `count` customers as shares of the opening hours, shape (count,)."""
    times, come = course(market.arrivals)
    return np.sort(np.interp(rng.random(count), come, times))


def share_come(market: Market, time: Floats) -> Floats:
    """Share of the day's customers who have come by `time` (share of the opening hours)."""
    times, come = course(market.arrivals)
    return np.interp(time, times, come)


def comes_late(world: World) -> bool:
    """At every market fewer than half of the customers come in the first three fifths of the hours."""
    return all(float(share_come(market, np.array([LATE]))[0]) < 0.5 for market in world.markets)
