import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.sizing import Plan, Problem, Settings, Space, solve
from farmops.core.sizing.plain import from_plain, to_plain
from tests.core.sizing.hand_farm import hand_farm
from tests.core.sizing.random_farms import tiny_farm


def there_and_back(kind, record):
    return from_plain(kind, json.loads(json.dumps(to_plain(record), allow_nan=False)))


@given(seed=st.integers(0, 10_000))
def test_a_problem_survives_the_way_there_and_back(seed):
    problem = tiny_farm(seed)
    assert there_and_back(Problem, problem) == problem


def test_unlimited_room_no_accepted_plan_and_a_plan_survive():
    problem = replace(hand_farm(20), spaces=(Space("nursery", (float("inf"),) * 4), hand_farm(20).spaces[1]))
    assert there_and_back(Problem, problem) == problem
    assert there_and_back(Settings, Settings(whole_weeks=None)) == Settings(whole_weeks=None)
    plan = solve(problem)
    assert there_and_back(Plan, plan) == plan


@pytest.mark.parametrize(
    "plain",
    [{}, {"gap": 1}, [], None, {**to_plain(Settings()), "seed": "0"}, {**to_plain(Settings()), "explain": 1}],
)
def test_what_is_no_record_is_refused(plain):
    with pytest.raises(ValueError, match="expected"):
        from_plain(Settings, plain)


def test_a_number_that_is_none_is_not_passed_on():
    with pytest.raises(ValueError, match="nan"):
        to_plain(Space("bed", (float("nan"),)))
