"""Clashing rules: what is named clashes, and nothing in it is idle."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.core.sizing import Clash, Problem, Rule, Settings, solve
from tests.core.sizing.random_farms import tiny_farm

EXACT = Settings(gap=0.0, whole_weeks=None, explain=False)


def insisting(seed: int) -> Problem:
    """A tiny farm whose grower insists on far too much."""
    problem = tiny_farm(seed)
    rules = [
        Rule("sow_at_least", line.item, line.way, line.week, amount=1 + (seed + line.week) % 4)
        for line in problem.sowings
    ]
    rules += [Rule("keep", key=planting.key) for planting in problem.standing]
    rules += [Rule("meet", key=promise.key) for promise in problem.promises]
    return replace(problem, rules=tuple(rules))


def is_possible(problem: Problem) -> bool:
    return solve(problem, EXACT).status != "infeasible"


def limited_to(problem: Problem, clash: Clash) -> Problem:
    """The problem with the limits of the clash alone."""
    named = set(clash.room)
    spaces = tuple(
        replace(
            space,
            places=tuple(
                places if (space.kind, week) in named else float("inf") for week, places in enumerate(space.places)
            ),
        )
        for space in problem.spaces
    )
    work = tuple(minutes if week in clash.work_weeks else float("inf") for week, minutes in enumerate(problem.work))
    seeds = tuple(stock for stock in problem.seeds if stock.seed in clash.seeds)
    return replace(problem, spaces=spaces, seeds=seeds, work=work, rules=clash.rules)


@settings(max_examples=15)
@given(seed=st.integers(0, 100_000))
def test_a_clash_is_one_and_would_be_gone_without_any_of_its_rules(seed):
    problem = insisting(seed)
    plan = solve(problem, EXACT)
    if plan.clash is None:
        assert plan.status == "optimal"
        return
    alone = limited_to(problem, plan.clash)
    assert not is_possible(alone)
    for rule in plan.clash.rules:
        others = tuple(other for other in plan.clash.rules if other != rule)
        assert is_possible(replace(problem, rules=others))
    for kind, week in plan.clash.room:
        freed = tuple(place for place in plan.clash.room if place != (kind, week))
        assert is_possible(limited_to(problem, replace(plan.clash, room=freed)))
