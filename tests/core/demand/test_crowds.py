"""When customers come, learned from sell-out times."""

import numpy as np
import pytest

from farmops.core.demand.crowds import (
    CrowdEvidence,
    Crowds,
    _log_posterior,
    _normal_equations,
    default_crowds,
    improve_crowds,
    prior_precision,
    trust_in_times,
)
from farmops.core.demand.profile import BINS, DEFAULT_PROFILE, coverage


def evidence(seed: int, n: int = 120, a: float = 3.0, b: float = 1.6) -> tuple[CrowdEvidence, np.ndarray]:
    """Sell-outs of a crowd drawn from a beta distribution; also its true shares."""
    rng = np.random.default_rng(seed)
    sold, times = [], []
    while len(sold) < n:
        wanted = rng.poisson(25 * rng.gamma(8, 1 / 8))
        brought = int(rng.integers(8, 26))
        if wanted > brought:
            sold.append(brought)
            times.append(np.sort(rng.beta(a, b, wanted))[brought - 1])
    stop = np.array(times)
    count = np.array(sold, dtype=np.float64)
    market = np.arange(n) % 2
    near = coverage(np.maximum(stop - 0.025, 0), np.minimum(stop + 0.025, 1))
    covered = coverage(np.zeros(n), stop)
    ones = np.ones(n)
    seen = CrowdEvidence(
        market=market,
        sold=count,
        mean=np.full(n, 25.0),
        covered=covered,
        trust=ones,
        part_market=market,
        part_covered=covered,
        part_sold=count,
        part_trust=ones,
        part_near=near,
        other_score=np.zeros(2),
        other_information=np.full(2, 1e4),
        k=8.0,
    )
    grid = np.sort(rng.beta(a, b, 200_000))
    return seen, np.searchsorted(grid, np.linspace(0, 1, BINS + 1)) / grid.size


def test_a_late_crowd_is_learned():
    seen, true = evidence(1)
    crowds, precision = default_crowds(2), prior_precision(2)
    for _ in range(40):
        step = improve_crowds(crowds, seen, precision)
        crowds = step.crowds
    assert step.change < 0.01  # the rate of a twentieth hardly moves any more; Gauss-Newton creeps there
    assert crowds.is_learned
    before = np.abs(np.cumsum(DEFAULT_PROFILE.bins) - true[1:]).max()
    for market in (0, 1):
        learned = np.cumsum(crowds.profile(market).bins)
        assert np.abs(learned - true[1:]).max() < before / 2
        assert learned[-1] == pytest.approx(1.0, abs=1e-12)


def unsettled(seed: int) -> tuple[Crowds, CrowdEvidence, np.ndarray]:
    seen, _ = evidence(seed, n=30)
    rng = np.random.default_rng(seed)
    return Crowds(default_crowds(2).log_rate + rng.normal(0, 0.2, (2, BINS)), is_learned=True), seen, prior_precision(2)


def aside(crowds: Crowds, at: int, by: float) -> tuple[Crowds, np.ndarray]:
    """One log rate, or one shift, moved."""
    rate, shift = crowds.log_rate.copy(), np.zeros(2)
    if at < 2 * BINS:
        rate[at // BINS, at % BINS] += by
    else:
        shift[at - 2 * BINS] = by
    return Crowds(rate, is_learned=True), shift


def test_gradient_is_that_of_the_posterior():
    crowds, seen, precision = unsettled(2)
    _, _, gradient = _normal_equations(crowds, seen, precision)
    step = 1e-5
    for at in (0, 7, BINS + 3, 2 * BINS, 2 * BINS + 1):
        ends = [_log_posterior(*aside(crowds, at, side), seen, precision) for side in (step, -step)]
        assert gradient[at] == pytest.approx((ends[0] - ends[1]) / (2 * step), rel=1e-4, abs=1e-3)


def test_curvature_is_that_of_the_posterior():
    crowds, seen, precision = unsettled(4)
    _, bend, _ = _normal_equations(crowds, seen, precision)
    step = 1e-5
    for at in (0, 7, BINS + 3):
        ends = [
            _normal_equations(aside(crowds, at, side)[0], seen, precision)[2] for side in (step, -step)
        ]  # a gradient's slope is exact where the second difference of a posterior is not
        slope = (ends[0] - ends[1]) / (2 * step)
        assert bend[at] == pytest.approx(-slope, rel=1e-4, abs=1e-3 * np.abs(bend[at]).max())


def test_times_that_never_vary_are_not_trusted():
    rng = np.random.default_rng(3)
    sold = np.full(20, 15.0)
    exposure = np.concatenate([np.full(10, 0.5), np.exp(rng.normal(-0.7, 0.4, 10))])
    trust = trust_in_times(sold, exposure, np.repeat([0, 1], 10))
    assert trust[0] == pytest.approx(0.0, abs=1e-12)
    assert trust[10] == 1.0
    assert trust_in_times(np.array([15.0]), np.array([0.5]), np.array([0]))[0] == 1.0
