"""Refuse a problem that cannot be meant, before it is solved."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from .problem import Block, Heads, Item, Market, Mix, Occupancy, Problem, Promise, Sowing, Standing

RULES = ("sow_at_least", "sow_at_most", "keep", "meet")


def check_problem(problem: Problem) -> None:
    """Refuse what cannot be meant.

    Raises
    ------
    ValueError
        If a number is out of its range or a name is unknown or doubled; it names the row and the value.
    """
    if problem.weeks < 1:
        raise ValueError(f"the horizon must be at least one week, got {problem.weeks}")
    items = {item.key: item for item in problem.items}
    kinds = {space.kind for space in problem.spaces}
    _once("item", [item.key for item in problem.items])
    _once("kind of space", [space.kind for space in problem.spaces])
    _once("sowing", [(sowing.item, sowing.way, sowing.week) for sowing in problem.sowings])
    _once("standing planting", [planting.key for planting in problem.standing])
    _once("promise", [promise.key for promise in problem.promises])
    _once("mix", [mix.item for mix in problem.mixes])
    for space in problem.spaces:
        if len(space.places) != problem.weeks or not all(places >= 0 for places in space.places):
            raise ValueError(f"{space.kind}: places must be given for {problem.weeks} weeks, 0 or more: {space.places}")
    if problem.work and len(problem.work) != problem.weeks:
        raise ValueError(f"minutes of work must be given for {problem.weeks} weeks, got {len(problem.work)}")
    for item in problem.items:
        _check_item(item)
    plantings: list[Sowing | Standing] = [*problem.sowings, *problem.standing]
    for planting in plantings:
        _check_planting(planting, items, kinds)
    wants: list[Promise | Market] = [*problem.promises, *problem.markets]
    for want in wants:
        _check_want(want, items, problem.weeks)
    for mix in problem.mixes:
        _check_mix(mix, items, {other.item for other in problem.mixes})
    for market in problem.markets:
        _check_market(market, _cost_of_cutting(market.item, items, problem.mixes))
    _check_rules(problem)


def _once(what: str, names: Iterable[object]) -> None:
    seen: set[object] = set()
    for name in names:
        if name in seen:
            raise ValueError(f"{what} {name!r} is given twice")
        seen.add(name)


def _amount(name: str, what: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0):
        raise ValueError(f"{name}: {what} must be a number, 0 or more, got {value}")


def _check_item(item: Item) -> None:
    for what in ("cutting", "minutes", "beyond_price"):
        _amount(item.key, what, getattr(item, what))
    for value in (*item.stock, *item.beyond):
        _amount(item.key, "stock and need", value)
    if item.keeps < 0 or not 0 <= item.keep_loss < 1:
        raise ValueError(
            f"{item.key}: keeps {item.keeps} weeks with a loss of {item.keep_loss}; 0 or more, 0 to under 1"
        )
    if len(item.stock) > item.keeps + 1:
        raise ValueError(f"{item.key}: stock keeps longer than the item's {item.keeps} weeks")


def _check_planting(planting: Sowing | Standing, items: dict[str, Item], kinds: set[str]) -> None:
    name = f"{planting.item} {planting.way} week {planting.week}" if isinstance(planting, Sowing) else planting.key
    if planting.item not in items:
        raise ValueError(f"{name}: there is no item {planting.item!r}")
    if isinstance(planting, Sowing):
        if planting.week < 0:
            raise ValueError(f"{name}: sowing weeks are counted from this week, 0")
        for what in ("cost", "minutes", "seeds"):
            _amount(name, what, getattr(planting, what))
    _check_room(name, planting.room, kinds)
    if isinstance(planting.harvest, Heads):
        heads = planting.harvest
        _amount(name, "items", heads.items)
        _amount(name, "places of one item", heads.places)
        if heads.items == 0:
            raise ValueError(f"{name}: no plant stands to the end; a sowing that gives nothing cannot be planned")
        if heads.ready < 0 or heads.last < heads.ready:
            raise ValueError(f"{name}: ready in week {heads.ready} and good until {heads.last} cannot be")
        _check_room(name, (Occupancy(heads.kind, 0, 0.0),), kinds)
    else:
        _check_cuts(name, planting.harvest.blocks, kinds)


def _check_cuts(name: str, blocks: tuple[Block, ...], kinds: set[str]) -> None:
    if not any(items > 0 for block in blocks for _, items in block.harvests):
        raise ValueError(f"{name}: no cutting gives anything; a sowing that gives nothing cannot be planned")
    for block in blocks:
        _check_room(name, block.room, kinds)
        for week, items in block.harvests:
            _amount(name, f"items of week {week}", items)
            if week < 0:
                raise ValueError(f"{name}: a cutting in week {week} lies in the past")


def _check_room(name: str, room: tuple[Occupancy, ...], kinds: set[str]) -> None:
    for occupancy in room:
        _amount(name, f"places of {occupancy.kind} in week {occupancy.week}", occupancy.places)
        if occupancy.kind not in kinds:
            raise ValueError(f"{name}: there is no kind of space {occupancy.kind!r}")


def _check_want(want: Promise | Market, items: dict[str, Item], weeks: int) -> None:
    if want.item not in items:
        raise ValueError(f"{want.key}: there is no item {want.item!r}")
    if not 0 <= want.week < weeks:
        raise ValueError(f"{want.key}: week {want.week} is outside the {weeks} weeks looked at")
    if isinstance(want, Promise):
        for what in ("quantity", "price", "penalty"):
            _amount(want.key, what, getattr(want, what))


def _check_mix(mix: Mix, items: dict[str, Item], mixed: set[str]) -> None:
    for name in (mix.item, *(part for part, _ in mix.parts)):
        if name not in items:
            raise ValueError(f"mix {mix.item}: there is no item {name!r}")
    for part, amount in mix.parts:
        _amount(f"mix {mix.item}", part, amount)
        if part in mixed:
            raise ValueError(f"mix {mix.item}: {part} is a mix itself; give its parts instead")
    amounts = dict(mix.parts)
    _once(f"leeway of mix {mix.item}", [leeway.part for leeway in mix.leeway])
    for leeway in mix.leeway:
        share = amounts.get(leeway.part, math.nan) / leeway.whole if leeway.whole > 0 else math.nan
        if not (0 <= leeway.down <= share + 1e-9 and 0 <= leeway.up <= 1 - share + 1e-9):
            raise ValueError(
                f"mix {mix.item}: {leeway.part} of {share:g} cannot go {leeway.down:g} down and {leeway.up:g} up"
            )
    if not any(amount > 0 for _, amount in mix.parts):
        raise ValueError(f"mix {mix.item} has no parts")


def _cost_of_cutting(key: str, items: dict[str, Item], mixes: tuple[Mix, ...]) -> float:
    parts = [part for mix in mixes if mix.item == key for part in mix.parts]
    return items[key].cutting + sum(items[part].cutting * amount for part, amount in parts)


def _check_market(market: Market, cutting: float) -> None:
    _amount(market.key, "leftover", market.leftover)
    if market.leftover > cutting + 1e-9:
        raise ValueError(
            f"{market.key}: a leftover of {market.item} is worth {market.leftover}, more than its cutting costs "
            f"({cutting}); then it would pay to cut for the leftover"
        )
    worths = [piece.worth for piece in market.pieces]
    if any(later > earlier + 1e-9 for earlier, later in pairwise(worths)):
        raise ValueError(f"{market.key}: the pieces must fall in worth, got {worths}")
    for piece in market.pieces:
        _amount(market.key, "quantity of a piece", piece.quantity)


def _check_rules(problem: Problem) -> None:
    plantings = {planting.key for planting in problem.standing}
    promises = {promise.key for promise in problem.promises}
    for rule in problem.rules:
        if rule.kind not in RULES:
            raise ValueError(f"unknown rule {rule.kind!r}; known are {', '.join(RULES)}")
        if rule.kind == "keep" and rule.key not in plantings:
            raise ValueError(f"rule keep: there is no standing planting {rule.key!r}")
        if rule.kind == "meet" and rule.key not in promises:
            raise ValueError(f"rule meet: there is no promise {rule.key!r}")
        _amount(f"rule {rule.kind}", "amount", rule.amount)
