"""What the product learns in a season, from what it was shown."""

import numpy as np
import pytest

from farmops.proving.sizing_farms import stages_of
from farmops.proving.sown.luck import NONE, Spreads, draw_luck
from farmops.proving.sown.policies import Constant
from farmops.proving.sown.product import Learning, records_of
from farmops.proving.sown.season import Season
from farmops.proving.sown.views import ByTheTable
from tests.proving.sown.small import WEEKS, small_season

SLOW = Spreads(0.2, 0.02, 0.0, 0.0, 0.0, 0.0)


@pytest.fixture(scope="module")
def grown():
    """Thirty weeks of habit, with varieties that are slower or faster than the table says."""
    known = small_season()
    luck = draw_luck(known.farm, WEEKS, SLOW, np.random.default_rng(5))
    season = Season(known.farm, known.draw, luck)
    state = season.start()
    season.play(
        state, Constant(season.farm, ByTheTable(season.farm, season.draw), {0: 60.0, 1: 60.0, 2: 40.0}), range(30)
    )
    return season, state


def test_days_come_near_what_they_really_are(grown):
    season, state = grown
    learning = Learning(season.farm)
    learning.look(state, 30)
    for item, crop in enumerate(season.farm.crops):
        real = float(np.mean(season.luck.slowness[item, :20]))
        said = sum(one.days for one in learning.stages(item, 20)) / sum(one.days for one in stages_of(crop, 20))
        assert abs(np.log(said / real)) < 0.35 * abs(np.log(real)) + 0.01


def test_without_learning_it_takes_the_table(grown):
    season, state = grown
    learning = Learning(season.farm, days=False, stand=False)
    learning.look(state, 30)
    assert learning.stages(0, 20) == stages_of(season.farm.crops[0], 20)


def test_the_share_that_survives_is_pooled_with_the_table(grown):
    season, state = grown
    for planting in (*state.house.gone, *state.house.plantings):
        planting.seen = [(days, 0.5) for days, _share in planting.seen]
    learning = Learning(season.farm)
    learning.look(state, 30)
    assert learning.stand[season.farm.crops[0].key, 0].plantings > 3
    assert 0.5 < learning.stages(0, 30)[0].survives < 0.6 < stages_of(season.farm.crops[0], 30)[0].survives


def test_a_planting_that_was_slow_may_be_expected_to_stay_slow(grown):
    season, state = grown
    planting = next(one for one in state.house.plantings if len(one.seen) == 1 and one.item == 0)
    usual, carried = Learning(season.farm, days=False), Learning(season.farm, days=False, carry=1.0)
    for learning in (usual, carried):
        learning.look(state, 30)
    factor = planting.seen[0][0] / stages_of(season.farm.crops[0], planting.sown)[0].days
    plain, slow = usual.rest(planting, 30), carried.rest(planting, 30)
    assert plain[0].days == slow[0].days == planting.seen[0][0]
    assert slow[1].days == pytest.approx(plain[1].days * factor)


def test_customers_come_from_the_notebook_alone(grown):
    season, state = grown
    learning = Learning(season.farm)
    with pytest.raises(ValueError, match="notebook"):
        learning.mean(0, 32)
    learning.look(state, 30)
    assert len(records_of(state)) == len(state.records) >= 90
    real = np.mean([ByTheTable(season.farm, season.draw).mean(0, week) for week in range(30, 36)])
    said = np.mean([learning.mean(0, week) for week in range(30, 36)])
    assert said == pytest.approx(real, rel=0.35)
    assert learning.markets(0, 32) is learning.markets(0, 32)
    assert NONE.lost == 0.0


def test_where_room_is_no_limit_sowings_that_nobody_ordered_are_expected_some_days_later(grown):
    season, state = grown
    learning = Learning(season.farm, reserve=2.0)
    learning.look(state, 30)
    ordered, usual = learning.stages(0, 30), learning.stages(2, 30)
    learning.roomy = frozenset({"finishing"})
    assert [season.farm.promised(item, 30) > 0 for item in (0, 2)] == [True, False]
    assert learning.stages(0, 30) == ordered
    assert [one.days for one in learning.stages(2, 30)] == [*(one.days for one in usual[:-1]), usual[-1].days + 2.0]
