import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.core.sizing import Cuts, Heads, Occupancy, Problem, Settings, Space, solve
from farmops.core.sizing.problem import Item, Market, Piece
from farmops.core.sizing.stages import Cutting, Stage, cut_sowing, heads_sowing, stage_ends

NURSERY = Stage("nursery", 24, 1.0, survives=0.9)
FINISHING = Stage("finishing", 21, 1.0, survives=0.95)


def test_a_stage_ends_on_the_monday_after_its_days_are_over():
    # 24 days -> ceil(24/7) = 4 weeks; 45 days -> ceil(45/7) = 7 weeks.
    assert stage_ends([NURSERY, FINISHING], 2) == [6, 9]
    assert stage_ends([Stage("shelf", 7, 1), Stage("bed", 7, 1)], 0) == [1, 2]


def test_heads_take_the_places_of_the_plants_that_enter_each_stage():
    sowing = heads_sowing("heads", 2, 100, [NURSERY, FINISHING], stands_weeks=2)
    assert isinstance(sowing.harvest, Heads)
    assert (sowing.harvest.ready, sowing.harvest.last) == (9, 10)
    assert sowing.harvest.items == pytest.approx(85.5)
    # 90 plants stand on 90 places and 85.5 of them live, so that one head to sell takes 90 / 85.5 of a place.
    assert sowing.harvest.places * sowing.harvest.items == pytest.approx(90.0)
    assert list(sowing.room) == [
        *(Occupancy("nursery", week, 100.0) for week in range(2, 6)),
        *(Occupancy("finishing", week, 90.0) for week in range(6, 9)),
    ]


def test_cuttings_keep_their_places_until_the_last_one():
    sowing = cut_sowing("bags", 0, 100, [NURSERY, FINISHING], [Cutting(0, 0.2), Cutting(2, 0.16), Cutting(4, 0.12)])
    assert isinstance(sowing.harvest, Cuts)
    assert [block.harvests for block in sowing.harvest.blocks] == [
        ((7, pytest.approx(17.1)),),
        ((9, pytest.approx(13.68)),),
        ((11, pytest.approx(10.26)),),
    ]
    weeks = [[place.week for place in block.room] for block in sowing.harvest.blocks]
    assert weeks == [[7], [8, 9], [10, 11]]
    assert {place.places for block in sowing.harvest.blocks for place in block.room} == {90.0}


@settings(max_examples=30)
@given(
    days=st.lists(st.integers(1, 30), min_size=1, max_size=3),
    finishing=st.integers(30, 200),
    nursery=st.integers(40, 300),
)
def test_never_more_than_the_places_on_any_day_of_any_stage(days, finishing, nursery):
    """The plan's sowings walked through day by day with the stages in days: due plants move on the Monday after."""
    kinds = ["nursery", "nursery 2", "finishing"][-len(days) :]
    stages = [Stage(kind, length, 1.0, survives=0.9) for kind, length in zip(kinds, days, strict=True)]
    weeks = 18
    places = {"nursery": nursery, "nursery 2": 80, "finishing": finishing}
    problem = Problem(
        weeks=weeks,
        spaces=tuple(Space(kind, (float(places[kind]),) * weeks) for kind in kinds),
        items=(Item("heads", cutting=0.2),),
        sowings=tuple(heads_sowing("heads", week, 18, stages, stands_weeks=2, cost=1.0) for week in range(weeks)),
        markets=tuple(
            Market(f"{week}", "heads", week, (Piece(60.0, 2.0, 1.0), Piece(90.0, 1.0, 0.5)), 2.0)
            for week in range(weeks)
            if week % 5  # closed every fifth week: heads have to stand
        ),
    )
    plan = solve(problem, Settings(gap=0.02, explain=False))
    cut = {line.week: line.harvest for line in plan.items}
    taken = {kind: [0.0] * (7 * weeks) for kind in kinds}
    standing: list[list[float]] = []  # last week, heads; oldest first
    per_head = 1 / 0.9
    for line in plan.sowings:
        entered, begin, passed = 18 * line.parts, 7 * line.week, 0
        for stage in stages:
            passed += stage.days
            end = 7 * math.ceil((7 * line.week + passed) / 7)
            for day in range(begin, min(end, 7 * weeks)):
                taken[stage.kind][day] += entered
            begin, entered = end, entered * 0.9
        standing.append([begin // 7, entered])
    for week in range(weeks):
        alive = [entry for entry in standing if entry[0] <= week < entry[0] + 2 and entry[1] > 1e-6]
        for day in range(7 * week, 7 * week + 7):
            taken["finishing"][day] += per_head * sum(entry[1] for entry in alive)
        wanted = cut.get(week, 0.0)
        for entry in alive:
            used = min(entry[1], wanted)
            entry[1] -= used
            wanted -= used
        assert wanted <= 1e-4  # what the plan cuts is really standing there
        left = sum(line.left for line in plan.items if line.week == week)
        for entry in reversed([entry for entry in standing if entry[0] <= week]):
            entry[1] = entry[1] if left >= entry[1] else max(0.0, left)  # the plan clears what it does not keep
            left -= entry[1]
    for kind in kinds:
        assert max(taken[kind]) <= places[kind] + 1e-3


@pytest.mark.parametrize(
    "refused",
    [
        lambda: stage_ends([], 0),
        lambda: stage_ends([Stage("bed", 0, 1)], 0),
        lambda: stage_ends([Stage("bed", 7, 1, survives=0)], 0),
        lambda: heads_sowing("heads", 0, 0, [NURSERY], stands_weeks=1),
        lambda: heads_sowing("heads", 0, 10, [NURSERY], stands_weeks=0),
        lambda: cut_sowing("bags", 0, 10, [NURSERY], []),
        lambda: cut_sowing("bags", 0, 10, [NURSERY], [Cutting(2, 1.0), Cutting(1, 1.0)]),
    ],
)
def test_stages_that_cannot_be_are_refused(refused):
    with pytest.raises(ValueError, match=r"must|needs"):
        refused()
