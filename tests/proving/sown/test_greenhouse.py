"""What stands, week by week, by hand."""

import math

import numpy as np
import pytest

from farmops.core.sizing import Stage
from farmops.proving.sizing_farms import KINDS, Crop, cuttings_of, stages_of
from farmops.proving.sown.farm import Farm, world_of
from farmops.proving.sown.greenhouse import Greenhouse
from farmops.proving.sown.luck import NONE, draw_luck

HEADS = Crop("cos", "heads", "finishing", 7, 7, 14, 0.9, 1.0, 2.0, 0.3, 3.0, 40, 26, 1)
CUT = Crop("mint", "cut", "bench", 7, 0, 14, 0.9, 0.3, 2.0, 0.3, 3.0, 40, 26, 1)
MIDSUMMER = 24  # the table's days hold as they are


def house(crop, **places):
    farm = Farm((crop,), world_of((crop,), 8.0), dict.fromkeys(KINDS, 1e6) | places)
    return Greenhouse(farm, draw_luck(farm, 60, NONE, np.random.default_rng(0)))


def run(one, weeks, gives_way=lambda kind, missing: None):
    for week in weeks:
        one.begin(week)
        one.move(week, gives_way)


def test_the_table_at_midsummer():
    assert [stage.days for stage in stages_of(HEADS, MIDSUMMER)] == [7, 7, 14]


def test_plants_move_each_time_a_stage_is_over_and_are_ready_and_then_past_it():
    one = house(HEADS)
    one.begin(24)
    assert one.sow(24, {0: 2}) == {0: 2.0}
    assert one.used()["shelf"] == pytest.approx(2 * 0.5)
    run(one, [25])
    assert one.used() == pytest.approx({"nursery": 2 * 64 * 0.9 / 72})
    run(one, [26])
    assert one.used() == pytest.approx({"finishing": 2 * 64 * 0.9 * 0.97 / 18})
    run(one, [27])
    assert one.ready(0, 27) == 0
    run(one, [28])
    heads = 2 * 64 * 0.9 * 0.97 * 0.9
    assert one.ready(0, 28) == pytest.approx(heads)
    one.cut(0, 28, 10.0)
    assert one.ready(0, 28) == pytest.approx(heads - 10)
    assert one.used()["finishing"] == pytest.approx(2 * 64 * 0.9 * 0.97 / 18 * (heads - 10) / heads)
    run(one, [29])
    assert one.ready(0, 29) == pytest.approx(heads - 10)
    run(one, [30])  # two weeks were all they stood good for
    assert (one.plantings, one.spoiled[0]) == ([], pytest.approx(heads - 10))


def test_what_finds_no_room_waits_a_week_and_all_its_later_stages_with_it():
    one = house(HEADS, nursery=0.1)
    one.sow(24, {0: 1})
    run(one, [25])
    assert (one.plantings[0].stage, one.plantings[0].held, one.plantings[0].over()) == (0, 1, 26)
    one.farm.places["nursery"] = 10
    run(one, [26, 27, 28])
    assert one.ready(0, 28) == 0
    run(one, [29])
    assert one.ready(0, 29) > 0


def test_what_fits_moves_and_the_rest_waits():
    one = house(HEADS, nursery=0.6)  # 57.6 plants need .8 places
    one.sow(24, {0: 1})
    run(one, [25])
    moved, waits = one.plantings
    assert (moved.stage, moved.held, waits.stage, waits.held) == (1, 0, 0, 1)
    assert (moved.plants, waits.plants) == (pytest.approx(57.6 * 0.75, rel=1e-5), pytest.approx(64 * 0.25, rel=1e-5))
    run(one, [26])
    assert [planting.stage for planting in one.plantings] == [2, 1]


def test_what_stands_in_the_way_may_be_cleared():
    one = house(HEADS, nursery=0.5)
    one.sow(24, {0: 1})
    run(one, [25], lambda kind, missing: one.farm.places.update({kind: 0.5 + missing}))
    assert one.plantings[0].stage == 1


def test_a_lost_planting_takes_its_places_until_it_is_seen():
    one = house(HEADS)
    one.luck.lost[0, 24] = 1
    one.sow(24, {0: 1})
    run(one, [25])
    assert one.used()["nursery"] > 0
    run(one, [26])
    assert (one.plantings, one.gone[0].seen[-1][1]) == ([], 0.0)


def test_cuttings_come_in_their_weeks_and_what_is_not_taken_is_gone():
    one = house(CUT)
    one.sow(24, {0: 1})
    run(one, range(25, 28))
    alive = 64 * 0.9 * 0.9
    after = [cutting.after for cutting in cuttings_of(CUT, 24)]
    assert after == [0, 2, 4]
    given = {week: one.ready(0, week) for week in range(27, 32)}
    assert given == pytest.approx({27: alive * 0.3, 28: 0, 29: alive * 0.24, 30: 0, 31: alive * 0.18})
    one.cut(0, 27, 5.0)
    assert one.spoiled[0] == pytest.approx(alive * 0.3 - 5)
    one.clear(one.plantings[0], 0.5)
    assert one.ready(0, 29) == pytest.approx(alive * 0.12)
    run(one, [31])
    assert len(one.plantings) == 1
    run(one, [32])
    assert one.plantings == []


def test_no_more_is_sown_than_the_shelf_takes():
    one = house(HEADS, shelf=1.2)
    assert one.sow(24, {0: 5}) == {0: 2.0}
    assert one.sow(24, {0: 5}) == {}


def test_older_heads_are_cut_first():
    one = house(HEADS)
    one.sow(24, {0: 1})
    run(one, range(25, 29))
    late = Stage("finishing", 7, 1 / 18, 0.9)
    first = one.plantings[0]
    second = type(first)("later", 0, 25, 1, (late,), -1, 10.0, first=28, alive=9.0, per_head=0.06, heads=9.0)
    one.plantings.insert(0, second)
    before = first.heads
    one.cut(0, 28, before + 2)
    assert (first in one.plantings, math.isclose(second.heads, 7.0)) == (False, True)
