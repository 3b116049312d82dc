"""What stands is expected as a sowing of the same day was, and late plants next week."""

from collections import defaultdict

import pytest

from farmops.core.sizing import Heads
from farmops.proving.sizing_farms import sowing_of
from farmops.proving.sown.views import ByTheTable
from farmops.proving.sown.weekly_plan import problem_at, standing_of
from tests.proving.sown.small import small_season


def room_of(one, shift=0):
    taken = defaultdict(float)
    blocks = () if isinstance(one.harvest, Heads) else one.harvest.blocks
    for place in (*one.room, *(place for block in blocks for place in block.room)):
        if place.week - shift >= 0:
            taken[place.kind, place.week - shift] += place.places
    return dict(taken)


def gives(one, shift=0):
    if isinstance(one.harvest, Heads):
        return [(one.harvest.ready - shift, one.harvest.last - shift, pytest.approx(one.harvest.items))]
    pairs = [pair for block in one.harvest.blocks for pair in block.harvests]
    return [(week - shift, pytest.approx(items)) for week, items in pairs if week >= shift]


@pytest.mark.parametrize("item", [0, 1, 2])
def test_with_growth_as_in_the_table_what_stands_is_what_was_planned(item):
    season = small_season()
    state, view = season.start(), ByTheTable(season.farm, season.draw)
    planned = sowing_of(season.farm.crops[item], 0, 4)
    state.house.begin(4)
    assert state.house.sow(4, {item: 1}) == {item: 1.0}
    (planting,) = state.house.plantings
    for week in range(4, 10):
        found = standing_of(season.farm, planting, view, week)
        shift = week - 4
        assert room_of(found) == pytest.approx(room_of(planned, shift))
        if not isinstance(planned.harvest, Heads) or planned.harvest.ready >= shift:
            assert gives(found) == gives(planned, shift)
        state.house.begin(week + 1)
        state.house.move(week + 1, lambda kind, missing: None)


def test_late_plants_are_expected_next_week_and_those_that_are_due_now():
    season = small_season()
    state, view = season.start(), ByTheTable(season.farm, season.draw)
    state.house.sow(4, {0: 1})
    (planting,) = state.house.plantings
    weeks = planting.over() - 4
    slow = tuple(type(one)(one.kind, one.days * 1.5, one.places, one.survives) for one in planting.stages)
    planting.stages = slow
    shelf = {place.week for place in standing_of(season.farm, planting, view, 4 + weeks).room if place.kind == "shelf"}
    assert shelf == {0}  # it should have moved by now; it will next week
    due = standing_of(season.farm, planting, view, planting.over())
    assert {place.kind for place in due.room if place.week == 0} == {"nursery"}


def test_the_programme_has_every_week_and_way():
    season = small_season()
    state, view = season.start(), ByTheTable(season.farm, season.draw)
    problem = problem_at(state.house, view, 3, {0: (2.0,)}, weeks=12)
    assert (len(problem.sowings), problem.items[0].stock) == (12 * 3, (2.0,))
    assert {market.week for market in problem.markets} == set(range(12))
    assert [promise.quantity for promise in problem.promises[:2]] == [
        season.farm.promised(0, 3),
        season.farm.promised(0, 4),
    ]
    assert problem_at(state.house, view, 3, {}, weeks=12, sows=False).sowings == ()
