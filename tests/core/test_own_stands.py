"""What own plantings say of the share that leaves a stage: against normal theory, and against truths made up."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from farmops.core.own_stands import PLANTING_SPREAD, SCHEDULE_SPREAD, Counted, OwnStand, learn_stands

LETTUCE = ("lettuce", 0)


def counted(share, said=0.9, entered=72.0):
    return Counted("lettuce", 0, said, entered, entered * share)


@given(st.lists(st.tuples(st.floats(0.3, 1.0), st.floats(10, 800)), min_size=1, max_size=8))
def test_shares_are_pooled_as_normal_theory_says(rows):
    # Reference: the posterior of the difference on a fine grid, with scipy's densities.
    found = learn_stands([counted(share, entered=entered) for share, entered in rows])[LETTUCE]
    grid = np.linspace(-0.9, 0.4, 6501)
    log_weight = stats.norm.logpdf(grid, 0, SCHEDULE_SPREAD)
    for share, entered in rows:
        spread = math.sqrt(PLANTING_SPREAD**2 + 0.9 * 0.1 / entered)
        log_weight = log_weight + stats.norm.logpdf(share - 0.9, grid, spread)
    weight = np.exp(log_weight - log_weight.max())
    mean = np.average(grid, weights=weight)
    assert found.more == pytest.approx(mean, abs=1e-6)
    assert found.spread == pytest.approx(math.sqrt(np.average((grid - mean) ** 2, weights=weight)), abs=1e-6)
    assert found.plantings == len(rows)


def test_six_plantings_halve_the_error_of_a_schedule_that_is_twelve_points_wrong():
    # Made up: 90 % written down, 78 % true; plantings five points about it, and the luck of 72 plants; 40 seeds.
    left = []
    for seed in range(40):
        rng = np.random.default_rng(seed)
        shares = np.clip(0.78 + PLANTING_SPREAD * rng.standard_normal(6), 0, 1)
        found = learn_stands([counted(rng.binomial(72, share) / 72) for share in shares])[LETTUCE]
        left.append(abs(found.share(0.9) - 0.78))
    assert np.mean(left) < 0.12 / 2 / 1.5
    assert max(left) < 0.12 / 2 * 1.2


def test_the_middle_80_percent_holds_what_a_variety_truly_is():
    # Made up: truths eight points about the schedule, four plantings each; 400 seeds.
    inside = []
    for seed in range(400):
        rng = np.random.default_rng(seed)
        truth = np.clip(0.8 + SCHEDULE_SPREAD * rng.standard_normal(), 0.05, 0.99)
        shares = np.clip(truth + PLANTING_SPREAD * rng.standard_normal(4), 0, 1)
        found = learn_stands([counted(rng.binomial(72, share) / 72, said=0.8) for share in shares])[LETTUCE]
        inside.append(abs(0.8 + found.more - truth) <= 1.2816 * found.spread)
    assert np.mean(inside) == pytest.approx(0.8, abs=0.04)


def test_stages_and_varieties_are_told_apart_and_other_versions_follow():
    found = learn_stands([counted(0.7), Counted("lettuce", 1, 0.95, 60, 60), Counted("kale", 0, 0.9, 40, 38)])
    assert set(found) == {("lettuce", 0), ("lettuce", 1), ("kale", 0)}
    assert found["lettuce", 0].more < -0.1 < 0 < found["kale", 0].more
    own = OwnStand(-0.12, 0.03, 5)
    assert [round(own.share(said), 6) for said in (0.9, 0.8, 0.1)] == [0.78, 0.68, 0.05]
    assert OwnStand(0.2, 0.03, 5).share(0.9) == 1.0
    assert learn_stands([]) == {}


@pytest.mark.parametrize("broken", [(0.0, 10, 5), (1.1, 10, 5), (0.9, 0, 0), (0.9, 10, 11), (0.9, 10, -1)])
def test_what_cannot_be_is_refused(broken):
    with pytest.raises(ValueError, match=r"a share that survives|of those that entered"):
        Counted("lettuce", 0, *broken)
