from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from farmops.proving.worlds import FRESH, WORLDS
from farmops.proving.worlds.arrivals import arrival_times, comes_late, course, share_come

MARKET = WORLDS["town_square"].markets[0]
SHAPES = sorted({market.arrivals for world in [*WORLDS.values(), *FRESH.values()] for market in world.markets})


@pytest.mark.parametrize("arrivals", SHAPES)
def test_the_course_is_the_mixture_of_betas(arrivals):
    # reference: scipy.stats.beta.cdf
    times, come = course(arrivals)
    weight = sum(part[0] for part in arrivals)
    expected = sum(w * stats.beta.cdf(times, a, b) for w, a, b in arrivals) / weight
    assert come == pytest.approx(expected, abs=4e-3)


def test_customers_follow_the_course():
    times = arrival_times(MARKET, 20_000, np.random.default_rng(3))
    assert (np.diff(times) >= 0).all()
    # Kolmogorov-Smirnov distance of 20,000 draws: 1.63 / sqrt(n) = 0.0115 at the 1 % level
    assert stats.kstest(times, lambda at: share_come(MARKET, at)).statistic < 0.0115


def test_even_arrivals_are_a_straight_line():
    even = replace(MARKET, arrivals=((1.0, 1.0, 1.0),))
    assert share_come(even, np.array([0.0, 0.25, 1.0])) == pytest.approx([0, 0.25, 1])


def test_worlds_whose_every_crowd_comes_late():
    # wild_days and three_markets have one late crowd among others; fresh_4 and fresh_10 were drawn with late crowds
    assert [name for name, world in {**WORLDS, **FRESH}.items() if comes_late(world)] == [
        "late_afternoon",
        "fresh_4",
        "fresh_10",
    ]
