"""The invented farms that the sizing programme is timed on."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import nbinom

from farmops.core.sizing import Cuts, Heads, Settings, solve
from farmops.proving.sizing_farms import KINDS, demand_chances, invented_farm, measure, standing_from


def test_the_same_seed_is_the_same_farm_and_another_seed_another():
    assert invented_farm(5, 10, seed=3) == invented_farm(5, 10, seed=3)
    assert invented_farm(5, 10, seed=3) != invented_farm(5, 10, seed=4)


def test_a_farm_has_what_its_size_says():
    farm = invented_farm(10, 12)
    assert (farm.weeks, len(farm.items), len(farm.sowings)) == (12, 10, 120)
    assert [space.kind for space in farm.spaces] == list(KINDS)
    assert len(farm.markets) == 2 * 10 * 12
    assert {type(sowing.harvest) for sowing in farm.sowings} == {Heads, Cuts}
    assert farm.standing


def test_nothing_of_a_past_sowing_lies_in_the_past():
    for planting in invented_farm(10, 12).standing:
        assert all(place.week >= 0 for place in planting.room)
        if isinstance(planting.harvest, Heads):
            assert planting.harvest.ready >= 0
        else:
            assert all(week >= 0 for block in planting.harvest.blocks for week, _ in block.harvests)
    past = replace(invented_farm(1, 4).sowings[0], week=0, harvest=Heads(-3, -1, 5.0, "finishing", 0.1))
    assert standing_from(past, 1.0) is None


def test_more_room_is_more_places():
    tight, loose = invented_farm(5, 10, room=0.5), invented_farm(5, 10, room=1.1)
    assert all(less.places[0] <= more.places[0] for less, more in zip(tight.spaces, loose.spaces, strict=True))
    assert solve(tight).objective < solve(loose).objective


@pytest.mark.parametrize("mean", [3.0, 40.0])
def test_demand_is_the_negative_binomial_of_scipy(mean):
    chances = np.array(demand_chances(mean))
    assert chances.sum() == pytest.approx(1, abs=1e-12)
    assert chances == pytest.approx(nbinom.pmf(np.arange(len(chances)), 8, 8 / (8 + mean)), abs=1e-6)


def test_a_measurement_measures():
    ticks = iter([0.0, 1.0, 3.0, 10.0])
    timing = measure(invented_farm(5, 10), Settings(gap=0.01), clock=lambda: next(ticks))
    assert (timing.model_seconds, timing.lp_seconds, timing.total_seconds) == (1.0, 2.0, 7.0)
    assert timing.plan.objective <= timing.lp_worth + 1e-6
    assert timing.plan.gap <= 0.01


def test_a_search_that_may_not_branch_is_stopped_and_says_what_it_proved():
    farm = invented_farm(4, 10)
    best = solve(farm, Settings(gap=0.0, explain=False))
    assert best.status == "optimal"
    stopped = solve(farm, Settings(gap=0.0, nodes=0, explain=False))
    assert stopped.status == "stopped"
    assert stopped.objective <= best.objective + 1e-6
    assert stopped.bound >= best.objective - 1e-6
    assert stopped.gap == pytest.approx((stopped.bound - stopped.objective) / stopped.objective, abs=1e-9)
    assert stopped.gap > 0
