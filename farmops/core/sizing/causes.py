"""Why a promise is not met, and which rules clash when nothing is possible."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from .matrix import INFINITE
from .model import Model, build
from .plan import Clash
from .problem import Heads, Mix, Problem, Settings
from .solve import run, solver

# Without room limits the problem falls apart into small ones, for which this is plenty.
EXAMINE_SECONDS, LEAST_SECONDS, EXAMINE_GAP = 3.0, 0.5, 1e-5


def causes_of_failing(
    problem: Problem, settings: Settings, places: Sequence[int], seconds_left: float
) -> dict[int, str]:
    """For each promise (by its place) that the plan does not meet: room, too_late, seed_or_work or dearer.

    Room: it is met when room is lifted. Too late: no sowing that may still be made is ready by then. Seed or work: met
    when those limits go too. Else failing is cheaper than meeting it.
    """
    seconds = min(EXAMINE_SECONDS, max(LEAST_SECONDS, seconds_left / 2))  # two runs at most
    lifted = replace(settings, room_counts=False, gap=EXAMINE_GAP, seconds=seconds)
    alone = _only_items(problem, _linked_items(problem, {problem.promises[place].item for place in places}))
    is_limited = bool(problem.seeds or problem.work)
    causes: dict[str, str] = {}
    # Seed and work tie all items together: what they allow is only seen on the whole farm.
    for name, looser in (("room", problem if is_limited else alone), ("seed_or_work", alone)):
        if name == "room" or is_limited:
            for key in _met_in(looser, lifted):
                causes.setdefault(key, name)
    reachable = _reachable(problem)
    found = {}
    for place in places:
        promise = problem.promises[place]
        is_too_late = (promise.item, promise.week) not in reachable
        found[place] = causes.get(promise.key, "too_late" if is_too_late else "dearer")
    return found


def _linked_items(problem: Problem, items: set[str]) -> set[str]:
    """These items and all that share a mix with them, directly or through others."""
    linked = set(items)
    groups = [{mix.item, *(part for part, _ in mix.parts)} for mix in problem.mixes]
    while True:
        wider = linked.union(*(group for group in groups if group & linked))
        if wider == linked:
            return linked
        linked = wider


def _only_items(problem: Problem, items: set[str]) -> Problem:
    """The problem of these items alone, without seed, work and rules of the others."""
    return replace(
        problem,
        items=tuple(item for item in problem.items if item.key in items),
        sowings=tuple(sowing for sowing in problem.sowings if sowing.item in items),
        standing=tuple(planting for planting in problem.standing if planting.item in items),
        promises=tuple(promise for promise in problem.promises if promise.item in items),
        markets=tuple(market for market in problem.markets if market.item in items),
        mixes=tuple(mix for mix in problem.mixes if mix.item in items),
        seeds=(),
        work=(),
        rules=tuple(rule for rule in problem.rules if rule.item in items),
    )


def _met_in(problem: Problem, settings: Settings) -> list[str]:
    """Keys of the promises met in full."""
    model = build(problem, settings)
    answer = run(model.matrix, settings)
    if answer.values is None:
        return []
    columns = zip(problem.promises, model.met, strict=True)
    return [line.key for line, column in columns if answer.values[column] >= line.quantity * (1 - 1e-6) - 1e-6]


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
        mixed = [
            week
            for week in range(problem.weeks)
            if can_be_mixed(mix, {part for part, _amount in mix.parts if (part, week) in found})
        ]
        found |= {(mix.item, week + kept) for week in mixed for kept in range(keeps[mix.item] + 1)}
    return found


def can_be_mixed(mix: Mix, there: set[str]) -> bool:
    """Whether the leeway of a mix lets it be made of these parts alone."""
    leeway = {one.part: one for one in mix.leeway}
    missing = 0.0
    for part, amount in mix.parts:
        if amount > 0 and part not in there:
            if part not in leeway or amount > leeway[part].down * leeway[part].whole + 1e-9:
                return False
            missing += amount / leeway[part].whole
    return missing <= sum(one.up for one in mix.leeway if one.part in there) + 1e-9


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
