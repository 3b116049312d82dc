"""Why a promise is not met, and which rules clash when nothing is possible."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from .matrix import INFINITE
from .model import Model, build
from .plan import Clash
from .problem import Heads, Problem, Settings
from .solve import run, solver

# Enough for a problem without room limits, which falls apart into one small problem for each item.
EXAMINE_SECONDS, LEAST_SECONDS, EXAMINE_GAP = 3.0, 0.5, 0.001


def causes_of_failing(
    problem: Problem, settings: Settings, places: Sequence[int], seconds_left: float
) -> dict[int, str]:
    """For each promise (by its place) that the plan does not meet: room, too_late, seed_or_work or dearer.

    Room: it is met when room is lifted. Too late: no sowing that may still be made is ready by then. Seed or work: met
    when those limits go too. Else failing is cheaper than meeting it.
    """
    reachable = _reachable(problem)
    seconds = min(EXAMINE_SECONDS, max(LEAST_SECONDS, seconds_left / 2))  # two runs at most
    lifted = replace(settings, room_counts=False, gap=EXAMINE_GAP, seconds=seconds)
    causes = {}
    open_places = list(places)
    for name, looser in (("room", problem), ("seed_or_work", replace(problem, seeds=(), work=()))):
        if name == "seed_or_work" and not (problem.seeds or problem.work):
            break
        for place in _met_when(looser, lifted, open_places):
            causes[place] = name
        open_places = [place for place in open_places if place not in causes]
    for place in open_places:
        promise = problem.promises[place]
        causes[place] = "dearer" if (promise.item, promise.week) in reachable else "too_late"
    return causes


def _met_when(problem: Problem, settings: Settings, places: Sequence[int]) -> list[int]:
    model = build(problem, settings)
    answer = run(model.matrix, settings)
    if answer.values is None:
        return []
    wanted = [(place, problem.promises[place].quantity) for place in places]
    return [place for place, quantity in wanted if answer.values[model.met[place]] >= quantity * (1 - 1e-6) - 1e-6]


def _reachable(problem: Problem) -> set[tuple[str, int]]:
    """Items and weeks that a new sowing can still give, standing and keeping counted."""
    keeps = {item.key: item.keeps for item in problem.items}
    found: set[tuple[str, int]] = set()
    for sowing in problem.sowings:
        if isinstance(sowing.harvest, Heads):
            if sowing.harvest.ready >= problem.weeks:
                continue
            weeks = set(range(sowing.harvest.ready, sowing.harvest.last + 1))
        else:
            weeks = {week for block in sowing.harvest.blocks for week, items in block.harvests if items > 0}
        found |= {(sowing.item, week + kept) for week in weeks for kept in range(keeps[sowing.item] + 1)}
    for mix in problem.mixes:
        weeks = set(range(problem.weeks))
        for part, _ in mix.parts:
            weeks &= {week for item, week in found if item == part}
        found |= {(mix.item, week + kept) for week in weeks for kept in range(keeps[mix.item] + 1)}
    return found


def clash_of(model: Model) -> Clash:
    """A smallest set of rules that cannot hold together with the limits, and the limits they clash in.

    Each rule, then each limit, is left out for good if the rest still clashes without it; what stays is needed.
    """
    matrix = model.matrix
    settings = replace(model.settings, gap=INFINITE, seconds=EXAMINE_SECONDS)
    highs = solver(settings)
    highs.passModel(_without_worth(model))

    def clashes(dropped: list[int]) -> bool:
        for row in dropped:
            highs.changeRowBounds(row, -INFINITE, INFINITE)
        highs.run()
        status = highs.getModelStatus()
        for row in dropped:
            highs.changeRowBounds(row, matrix.row_lower[row], matrix.row_upper[row])
        return status.name in ("kInfeasible", "kUnboundedOrInfeasible")

    named = [row for row, label in enumerate(matrix.labels) if label]
    rules = [row for row in named if matrix.labels[row][0] == "rule"]
    limits = [row for row in named if matrix.labels[row][0] != "rule"]
    out: list[int] = []
    for group in (rules, limits):
        out = _leave_out(group, out, clashes)
    kept = [matrix.labels[row] for row in named if row not in set(out)]
    return Clash(
        rules=tuple(model.problem.rules[label[1]] for label in kept if label[0] == "rule"),
        room=tuple((label[1], label[2]) for label in kept if label[0] == "room"),
        seeds=tuple(label[1] for label in kept if label[0] == "seed"),
        work_weeks=tuple(label[1] for label in kept if label[0] == "work"),
    )


def _without_worth(model: Model) -> object:
    lp = model.matrix.highs_model()
    lp.col_cost_ = 0.0 * lp.col_cost_
    return lp


def _leave_out(rows: list[int], out: list[int], clashes: Callable[[list[int]], bool]) -> list[int]:
    """`out` and as many of `rows` as can go while the rest still clashes; tried in halves, to save solves."""
    if not rows:
        return out
    if clashes([*out, *rows]):
        return [*out, *rows]
    if len(rows) == 1:
        return out
    half = len(rows) // 2
    return _leave_out(rows[half:], _leave_out(rows[:half], out, clashes), clashes)
