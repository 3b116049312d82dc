"""Read the solver's columns back as a plan in the farm's own terms."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from .model import Model, Terms, is_whole, priced_weeks
from .plan import ItemWeek, Kept, MarketOutcome, Mixed, PromiseOutcome, RoomUse, Sown

NOTHING = 1e-6
FULL = 1e-5  # of the places: room used up to this share is called full

Values = npt.NDArray[np.float64]  # (columns,) the solver's answer, in the order of the model's columns


def _sum(terms: Terms, values: Values) -> float:
    return float(sum(factor * values[column] for column, factor in terms.items()))


def _tidy(amount: float) -> float:
    """Without the solver's dust: -1e-12 and 2.9999999997 are 0 and 3."""
    return round(float(amount), 6) + 0.0


def sowings(model: Model, values: Values) -> tuple[Sown, ...]:
    """What is sown, and what was accepted before but is sown no more (0 parts)."""
    problem, settings = model.problem, model.settings
    before = {(line.item, line.way, line.week): line.parts for line in problem.accepted or ()}
    lines = []
    for place, column in model.sown.items():
        sowing = problem.sowings[place]
        parts = _tidy(values[column])
        accepted = before.pop((sowing.item, sowing.way, sowing.week), 0.0)
        if parts > NOTHING or accepted > NOTHING:
            whole = is_whole(settings, sowing.week)
            past = None if problem.accepted is None else accepted
            lines.append(Sown(sowing.item, sowing.week, parts, sowing.way, whole, past))
    lines.extend(
        Sown(item, week, 0.0, way, is_whole(settings, week), parts)
        for (item, way, week), parts in before.items()
        if parts
    )
    return tuple(sorted(lines, key=lambda line: (line.week, line.item, line.way)))


def changed_parts(model: Model, lines: tuple[Sown, ...]) -> float | None:
    """Parts added or taken away in the weeks that the accepted plan covers; None if there was none."""
    if model.problem.accepted is None:
        return None
    weeks = priced_weeks(model.problem)
    return _tidy(sum(abs(line.parts - (line.before or 0.0)) for line in lines if line.week < weeks))


def shares(model: Model, values: Values) -> tuple[tuple[Kept, ...], tuple[Kept, ...]]:
    """Shares kept of standing plantings, and parts kept of new sowings that are cut several times."""
    old, new = [], []
    for place, planting in enumerate(model.problem.standing):
        columns = [model.share[place], *model.blocks.get(("old", place), [])]
        old.append(Kept(planting.item, tuple(_tidy(values[column]) for column in columns), planting.key))
    for place, column in model.sown.items():
        blocks = model.blocks.get(("new", place))
        if blocks and values[column] > NOTHING:
            sowing = model.problem.sowings[place]
            parts = tuple(_tidy(values[block]) for block in blocks)
            new.append(Kept(sowing.item, parts, way=sowing.way, week=sowing.week))
    return tuple(old), tuple(new)


def promises(model: Model, values: Values, causes: dict[int, str]) -> tuple[PromiseOutcome, ...]:
    """How far each promise is met [items], in their order; `causes` by place for those that are not."""
    return tuple(
        PromiseOutcome(
            promise.key,
            promise.item,
            promise.week,
            promise.quantity,
            _tidy(values[model.met[place]]),
            promise.penalty,
            causes.get(place, ""),
        )
        for place, promise in enumerate(model.problem.promises)
    )


def unmet(model: Model, values: Values) -> list[int]:
    """Places of the promises that are not met in full."""
    return [
        place
        for place, promise in enumerate(model.problem.promises)
        if promise.quantity - values[model.met[place]] > NOTHING * max(1.0, promise.quantity)
    ]


def markets(model: Model, values: Values) -> tuple[MarketOutcome, ...]:
    """What is taken to each market, and what of it is expected to sell. [items]"""
    lines = []
    for market, columns in zip(model.problem.markets, model.taken, strict=True):
        amounts = [values[column] for column in columns]
        sold = sum(amount * piece.chance for amount, piece in zip(amounts, market.pieces, strict=True))
        lines.append(MarketOutcome(market.key, market.item, market.week, _tidy(sum(amounts)), _tidy(sold), market.mean))
    return tuple(lines)


def mixed(model: Model, values: Values) -> tuple[Mixed, ...]:
    """Mixes made, with what really goes into them."""
    return tuple(
        Mixed(
            item,
            week,
            _tidy(values[model.made[item, week]]),
            tuple((part, _tidy(_sum(terms, values))) for part, terms in parts.items()),
        )
        for (item, week), parts in model.mixed.items()
        if values[model.made[item, week]] > NOTHING
    )


def item_weeks(model: Model, values: Values, outcomes: tuple[MarketOutcome, ...]) -> tuple[ItemWeek, ...]:
    """Harvest, stock and use of every item and week in which there is anything."""
    problem = model.problem
    promised: dict[tuple[str, int], float] = {}
    met: dict[tuple[str, int], float] = {}
    taken: dict[tuple[str, int], float] = {}
    sold: dict[tuple[str, int], float] = {}
    left: dict[tuple[str, int], float] = {}
    for promise, column in zip(problem.promises, model.met, strict=True):
        key = (promise.item, promise.week)
        promised[key] = promised.get(key, 0.0) + promise.quantity
        met[key] = met.get(key, 0.0) + float(values[column])
    for outcome in outcomes:
        key = (outcome.item, outcome.week)
        taken[key] = taken.get(key, 0.0) + outcome.taken
        sold[key] = sold.get(key, 0.0) + outcome.expected_sales
    for pool in model.pools:
        for week, column in pool.left.items():
            left[pool.item, week] = left.get((pool.item, week), 0.0) + float(values[column])
    into: dict[tuple[str, int], float] = {}
    for mix in mixed(model, values):
        for part, amount in mix.parts:
            into[part, mix.week] = into.get((part, mix.week), 0.0) + amount
    lines = []
    for item in problem.items:
        carried = sum(item.stock)
        for week in range(problem.weeks):
            key = (item.key, week)
            kept = float(sum(values[column] for column in model.kept.get(key, [])))
            made = float(values[model.made[key]]) if key in model.made else 0.0
            line = ItemWeek(
                item=item.key,
                week=week,
                ready=_tidy(_sum(model.ready.get(key, {}), values)),
                harvest=_tidy(_sum(model.harvested.get(key, {}), values) - made),
                left=_tidy(left.get(key, 0.0)),
                kept=_tidy(kept),
                carried_in=_tidy(carried),
                made=_tidy(made),
                into_mixes=_tidy(into.get(key, 0.0)),
                promised=promised.get(key, 0.0),
                met=_tidy(met.get(key, 0.0)),
                market=_tidy(taken.get(key, 0.0)),
                expected_sales=_tidy(sold.get(key, 0.0)),
            )
            if any((line.ready, line.harvest, line.left, kept, carried, made, line.promised, line.market)):
                lines.append(line)
            carried = kept * (1.0 - item.keep_loss)
    return tuple(lines)


def room(model: Model, values: Values) -> tuple[RoomUse, ...]:
    """Use of every kind of space in every week; binding where it is full."""
    lines = []
    for space in model.problem.spaces:
        for week, places in enumerate(space.places):
            used = _tidy(_sum(model.room.get((space.kind, week), {}), values))
            is_full = used > NOTHING and used >= places - FULL * max(1.0, places)
            lines.append(RoomUse(space.kind, week, used, places, is_full))
    return tuple(lines)
