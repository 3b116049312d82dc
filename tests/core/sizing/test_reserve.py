"""Which kinds of space have room to spare."""

from dataclasses import replace

from farmops.core.sizing import Problem, RoomUse, Settings, solve
from farmops.core.sizing.reserve import roomy_kinds


def plan_with(*uses):
    return replace(solve(Problem(1, (), ()), Settings()), room=tuple(uses))


def weeks(kind, full, count=16, places=10.0):
    return [RoomUse(kind, week, 9.0, places, week < full) for week in range(count)]


def test_a_kind_that_is_full_in_a_quarter_of_the_weeks_is_roomy_and_beyond_it_short():
    assert roomy_kinds(plan_with(*weeks("bench", 4), *weeks("bed", 5))) == {"bench"}


def test_far_weeks_and_closed_ones_do_not_count():
    far = [RoomUse("bench", week, 10.0, 10.0, True) for week in range(16, 30)]
    closed = [RoomUse("bed", week, 0.0, 0.0, True) for week in range(8)]
    assert roomy_kinds(plan_with(*weeks("bench", 0), *far, *closed)) == {"bench"}
    assert roomy_kinds(plan_with()) == frozenset()
