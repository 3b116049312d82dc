"""The arithmetic that is timed: committed instances, the same every time."""

from itertools import groupby

import pytest

from farmops.core.sizing.model import build
from farmops.proving.speed.farm_at_hand import DEMO
from farmops.proving.speed.reckoning import (
    INSTANCES,
    instance,
    notebook,
    seconds_alone,
    seconds_of_demand,
    seconds_of_sizing,
    size_of,
)


@pytest.mark.parametrize("name", INSTANCES)
def test_an_instance_is_no_larger_than_it_may_be(name):
    known = instance(name, DEMO)
    assert all(there <= most for there, most in zip(size_of(known), known.most, strict=True))
    assert min(size_of(known)) > 1000


def test_there_is_no_other_instance():
    with pytest.raises(KeyError):
        instance("another farm", DEMO)


def test_the_plan_of_the_demo_is_proven_and_the_solver_solves_the_same_matrix_alone():
    known = instance("demo farm", DEMO)
    ours, alone, is_proven = seconds_of_sizing(known)
    assert min(ours, alone, seconds_alone(build(known.problem, known.settings).matrix, known.settings)) > 0
    assert is_proven


def test_the_stall_is_the_same_every_time_and_its_figures_hold():
    records = list(notebook(40, 30))
    assert records == list(notebook(40, 30))
    assert [len(list(of_day)) for _day, of_day in groupby(records, key=lambda one: one.day)] == [40] * 30
    assert all(one.sold + one.left == one.brought and one.ran_out == (one.left == 0) for one in records)
    assert all(480 < minute < 780 for one in records for minute in one.ran_out_at)
    assert 0.2 < sum(one.ran_out for one in records) / len(records) < 0.6


def test_learning_takes_time():
    assert seconds_of_demand(3, 20) > 0
