"""From a problem to a plan, and what more room would earn."""

from __future__ import annotations

import math
import time
from dataclasses import replace

from .causes import causes_of_failing, clash_of
from .checks import check_problem
from .model import Model, build
from .plan import Clash, Plan, RoomWorth, Size
from .problem import Problem, Settings
from .reading import changed_parts, item_weeks, markets, mixed, promises, room, shares, sowings, unmet
from .solve import PROVEN, Answer, run

PRECISE_GAP = 0.001


def solve(problem: Problem, settings: Settings | None = None) -> Plan:
    """What to sow, cut, keep and sell for the greatest expected profit.

    Parameters
    ----------
    problem : Problem
        Weeks from now, room, ways to sow, what stands, what is wanted.
    settings : Settings, optional
        Gap, time and node limits; the defaults are those of the weekly advice.

    Returns
    -------
    Plan
        With its status, the bound proven for any plan, and where room is full. Sowings of the weeks that are not whole
        (Settings.whole_weeks) are an outlook: the bound holds for plans in whole parts as well.

    Raises
    ------
    ValueError
        If a number is out of its range or a name is unknown; the message names it.
    ArithmeticError
        If the solver itself fails.

    Notes
    -----
    Two runs give the same plan as long as the node limit or the gap ends the search and not the time limit. Prints the
    solver's banner to stdout: call it where stdout is not an answer.
    """
    settings = settings or Settings()
    check_problem(problem)
    started = time.perf_counter()
    model = build(problem, settings)
    model_seconds = time.perf_counter() - started
    answer = run(model.matrix, settings)
    if answer.values is None:
        clash = clash_of(model) if answer.status == "infeasible" else None
        return _no_plan(model, answer, clash, model_seconds)
    causes: dict[int, str] = {}
    failed = unmet(model, answer.values)
    if failed:
        causes = dict.fromkeys(failed, "not_examined")
        if settings.explain:
            causes = causes_of_failing(problem, settings, failed, settings.seconds - answer.seconds)
    return _plan(model, answer, causes, model_seconds)


def worth_of_room(problem: Problem, kind: str, places: float, settings: Settings | None = None) -> RoomWorth:
    """What so many more places of one kind in every open week would earn.

    Solved twice to a gap of 0.1 % and subtracted: shadow prices overstate big steps. Never less than 0. A closed week
    (0 places) stays closed. `at_most` is the bound of the roomier farm less the present plan: where it is far above
    `about`, the search ended too early for the difference to mean much.

    Raises
    ------
    ValueError
        If there is no such kind of space, or the present problem has no plan.
    """
    if kind not in {space.kind for space in problem.spaces}:
        raise ValueError(f"there is no kind of space {kind!r}")
    precise = replace(settings or Settings(), gap=PRECISE_GAP, explain=False)
    spaces = tuple(
        replace(space, places=tuple(held + places if held > 0 else 0.0 for held in space.places))
        if space.kind == kind
        else space
        for space in problem.spaces
    )
    now, then = solve(problem, precise), solve(replace(problem, spaces=spaces), precise)
    if now.objective is None or then.objective is None:
        raise ValueError(f"there is no plan to compare with ({now.status}, {then.status})")
    about = max(0.0, then.objective - now.objective)
    return RoomWorth(about, max(about, (math.inf if then.bound is None else then.bound) - now.objective))


def _plan(model: Model, answer: Answer, causes: dict[int, str], model_seconds: float) -> Plan:
    values = answer.values
    if values is None:
        raise ValueError("a plan needs an answer")
    lines = sowings(model, values)
    standing, cuttings = shares(model, values)
    outcomes = markets(model, values)
    return Plan(
        status=answer.status,
        objective=_cents(answer.objective),
        bound=_cents(answer.bound),
        gap=_gap(answer),
        sowings=lines,
        items=item_weeks(model, values, outcomes),
        standing=standing,
        cuttings=cuttings,
        promises=promises(model, values, causes),
        markets=outcomes,
        room=room(model, values),
        clash=None,
        changed_parts=changed_parts(model, lines),
        model_seconds=model_seconds,
        solver_seconds=answer.seconds,
        seed=model.settings.seed,
        node_limit=model.settings.nodes,
        size=_size(model),
        mixed=mixed(model, values),
    )


def _cents(amount: float | None) -> float | None:
    """Without the solver's dust, but fine enough to compare plans."""
    return None if amount is None else round(amount, 6) + 0.0


def _gap(answer: Answer) -> float | None:
    if answer.objective is None or answer.bound is None:
        return None
    missing = max(0.0, answer.bound - answer.objective)
    if missing <= PROVEN * max(1.0, abs(answer.objective)):
        return 0.0
    return missing / max(abs(answer.objective), PROVEN)


def _size(model: Model) -> Size:
    matrix = model.matrix
    return Size(len(matrix.cost), len(matrix.whole), len(matrix.labels), len(matrix.index))


def _no_plan(model: Model, answer: Answer, clash: Clash | None, model_seconds: float) -> Plan:
    return Plan(
        status=answer.status,
        objective=None,
        bound=answer.bound,
        gap=None,
        sowings=(),
        items=(),
        standing=(),
        cuttings=(),
        promises=(),
        markets=(),
        room=(),
        clash=clash,
        changed_parts=None,
        model_seconds=model_seconds,
        solver_seconds=answer.seconds,
        seed=model.settings.seed,
        node_limit=model.settings.nodes,
        size=_size(model),
    )
