"""The weekly programme of the season's farm, from what somebody knows on a Monday."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

from farmops.core.sizing import Accepted, Block, Cuts, Heads, Occupancy, Problem, Space, Standing
from farmops.core.sizing.stages import DAYS
from farmops.proving.sizing_farms import cuttings_of, sowing_of, stands_weeks
from farmops.proving.sown.farm import LOOKED_AT, Farm, items_at, promises_at
from farmops.proving.sown.greenhouse import NOTHING, PASSED, Greenhouse, Planting
from farmops.proving.sown.views import View

Stock = Mapping[int, tuple[float, ...]]


def problem_at(
    house: Greenhouse,
    view: View,
    week: int,
    stock: Stock,
    *,
    weeks: int = LOOKED_AT,
    sows: bool = True,
    accepted: Iterable[Accepted] | None = None,
) -> Problem:
    """What to sow and cut from this week on; with sows=False only what to do with what stands."""
    farm, span = house.farm, range(week, week + weeks)
    markets = tuple(
        replace(market, week=at - week)
        for item in range(len(farm.crops))
        for at in span
        for market in view.markets(item, at)
        if market.pieces
    )
    sowings = tuple(
        sowing_of(crop, at - week, week, view.stages(item, at))
        for item, crop in enumerate(farm.crops)
        for at in (span if sows else ())
    )
    standing = (standing_of(farm, planting, view, week) for planting in house.plantings)
    return Problem(
        weeks=weeks,
        spaces=tuple(Space(kind, (places,) * weeks) for kind, places in farm.places.items()),
        items=items_at(farm, view.mean if sows else _nothing, span, stock),
        sowings=sowings,
        standing=tuple(one for one in standing if one is not None),
        promises=promises_at(farm, span),
        markets=markets,
        accepted=None if accepted is None else tuple(accepted),
    )


def _nothing(_item: int, _week: int) -> float:
    """What is needed beyond the horizon matters only to who sows."""
    return 0.0


def standing_of(farm: Farm, planting: Planting, view: View, week: int) -> Standing | None:
    """What is expected of a planting from this week on; what is late is expected next week."""
    crop, stages = farm.crops[planting.item], view.rest(planting, week)
    ends: list[int] = []
    days = 0.0
    for number, stage in enumerate(stages):
        days += stage.days
        end = planting.sown + planting.held + math.ceil(days / DAYS - PASSED) - week
        if number == planting.stage and planting.first is None:
            end = max(end, 1) if planting.over() > week else 0
        ends.append(max([end, *ends[-1:]]))
    room, plants, start = [], planting.plants, 0
    for number in range(planting.stage, len(stages)):
        stage = stages[number]
        if planting.first is None:
            room += [Occupancy(stage.kind, at, plants * stage.places) for at in range(start, ends[number])]
            start = max(start, ends[number])
        if number < len(stages) - 1:
            plants *= stage.survives
    first = start if planting.first is None else planting.first - week
    alive = plants * stages[-1].survives if planting.first is None else planting.alive
    if crop.grows == "heads":
        last = first + stands_weeks(planting.sown) - 1
        items = alive * crop.per_plant if planting.first is None else planting.heads
        each = plants * stages[-1].places / items if planting.first is None else planting.per_head
        if items <= NOTHING:
            return None
        heads = Heads(max(0, first), last, items, stages[-1].kind, round(each, 9))
        return Standing(planting.key, crop.key, heads, tuple(room))
    blocks = _blocks(farm, planting, first, alive, plants * stages[-1].places, stages[-1].kind)
    return Standing(planting.key, crop.key, Cuts(blocks), tuple(room)) if blocks else None


def _blocks(farm: Farm, planting: Planting, first: int, alive: float, places: float, kind: str) -> tuple[Block, ...]:
    blocks, start = [], first
    for cutting in cuttings_of(farm.crops[planting.item], planting.sown):
        end = first + cutting.after + cutting.weeks
        amount = alive * cutting.items_per_plant / cutting.weeks
        harvests = tuple((at, amount) for at in range(first + cutting.after, end) if at >= 0)
        if harvests:
            room = tuple(Occupancy(kind, at, places) for at in range(max(0, start), end))
            blocks.append(Block(harvests, room))
        start = end
    return tuple(blocks)
