"""The season's luck has the spreads it says."""

import numpy as np
import pytest

from farmops.proving.sizing_farms import stages_of
from farmops.proving.sown.farm import Farm, crops_of_farm, farm_of, world_of
from farmops.proving.sown.luck import LEAST_STAND, NONE, Spreads, draw_luck, real_stages
from farmops.proving.sown.views import LEAST, with_loss


def farm():
    crops = crops_of_farm()
    return Farm(crops, world_of(crops, 8.0), {})


def test_spreads_are_as_told():
    found = [draw_luck(farm(), 104, Spreads(), np.random.default_rng(seed)) for seed in range(40)]
    logs = np.log([one.slowness for one in found])
    assert np.std(logs) == pytest.approx((0.08**2 + 0.1**2 + 0.06**2) ** 0.5, rel=0.05)
    within = logs - logs.mean(axis=1, keepdims=True)  # less the weather that all share in a week
    own = within - within.mean(axis=2, keepdims=True)
    assert np.std(own) == pytest.approx(0.1, rel=0.1)
    assert np.std([one.stand for one in found]) == pytest.approx((0.03**2 + 0.05**2) ** 0.5, rel=0.05)
    assert np.mean([one.lost >= 0 for one in found]) == pytest.approx(0.02, rel=0.1)


def test_a_lost_planting_is_lost_in_one_of_its_stages():
    crops = farm().crops
    lost = draw_luck(farm(), 400, Spreads(lost=1.0), np.random.default_rng(1)).lost
    for item, crop in enumerate(crops):
        assert set(lost[item].tolist()) == set(range(len(stages_of(crop, 0))))


def test_without_luck_plants_grow_as_the_table_says():
    luck = draw_luck(farm(), 30, NONE, np.random.default_rng(1))
    assert real_stages(farm(), luck, 0, 9) == stages_of(farm().crops[0], 9)
    luck.stand[0, 9] = -1.0
    assert {one.survives for one in real_stages(farm(), luck, 0, 9)} == {LEAST_STAND}


def test_what_is_foreseen_as_lost_gives_next_to_nothing():
    stages = stages_of(farm().crops[0], 9)
    assert with_loss(stages, -1) == stages
    assert [one.survives for one in with_loss(stages, 1)] == [0.9, LEAST, stages[2].survives]


def test_more_room_is_more_places():
    tight, loose = farm_of(0.5, varieties=3), farm_of(1.2, varieties=3)
    used = [kind for kind in tight.places if loose.places[kind] > 1]
    assert used
    assert all(tight.places[kind] < loose.places[kind] for kind in used)
