"""A farm's rows as the weekly programme of sizing: room, what stands, ways to sow, what is wanted."""

import math
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from farmops.core.calendar import lies_within
from farmops.core.coming import Coming, Line
from farmops.core.growth import Place, Slowness, over_on, through_stages
from farmops.core.schedule import Schedule, Way
from farmops.core.sizing import (
    Accepted,
    Block,
    Cuts,
    Cutting,
    Heads,
    Occupancy,
    Problem,
    SeedStock,
    Sowing,
    Space,
    Stage,
    Standing,
    cut_sowing,
    heads_sowing,
)
from farmops.core.sizing.reserve import RESERVE_DAYS
from farmops.planning.horizon import Horizon, Products, Target
from farmops.planning.needs import Needs
from farmops.planning.rows import FarmRows, Variety
from farmops.planning.standing import Growing, schedule_on, schedules_of
from farmops.planning.wants import days_from

PICKING_BLOCK = 4  # weeks of picking that are kept or given up together
SEED_WEEKS = 2  # sown from the seed that is there; what is ordered now has come by then (our assumption)
LEAST = 1e-6
RESERVE = timedelta(days=RESERVE_DAYS)


@dataclass(frozen=True, slots=True)
class Supply:
    """So many of an item (or part of mixes) from what stands, in a week."""

    key: str
    planting: str
    week: int
    items: float


@dataclass(frozen=True, slots=True)
class Programme:
    """The programme, the supply from what stands that it was given, and places taken by what gives nothing more."""

    problem: Problem
    supply: tuple[Supply, ...]
    fixed: tuple[Occupancy, ...]


def programme_of(
    rows: FarmRows,
    growing: Growing,
    products: Products,
    needs: Needs,
    horizon: Horizon,
    roomy: Collection[str] = (),
) -> Programme:
    """The weekly programme of a farm; roomy: kinds of space in which sowings are given some days more."""
    standing, fixed, supply = _standing(growing, products, horizon)
    problem = Problem(
        weeks=horizon.weeks,
        spaces=_spaces(rows, horizon, fixed),
        items=needs.items,
        sowings=tuple(_sowings(rows, growing, products, horizon, _unhurried(rows, products, needs, roomy))),
        standing=tuple(standing),
        promises=needs.promises,
        markets=needs.markets,
        mixes=products.mixes,
        accepted=_accepted(rows, products, horizon),
        seeds=tuple(SeedStock(variety, seeds) for variety, seeds in seed_on_hand(rows, horizon.as_of).items()),
    )
    return Programme(problem, tuple(supply), tuple(fixed))


def places_on(rows: FarmRows, kind: str, day: date) -> int:
    """Places of a kind of space on a day."""
    return sum(
        space.places
        for space in rows.spaces
        if space.kind == kind
        and (space.from_day is None or space.from_day <= day)
        and (space.to_day is None or day < space.to_day)
    )


def _spaces(rows: FarmRows, horizon: Horizon, fixed: Sequence[Occupancy]) -> tuple[Space, ...]:
    taken: dict[tuple[str, int], float] = defaultdict(float)
    for occupancy in fixed:
        taken[occupancy.kind, occupancy.week] += occupancy.places
    kinds = dict.fromkeys(space.kind for space in rows.spaces)
    changes = any(space.from_day or space.to_day for space in rows.spaces)
    spaces = []
    for kind in kinds:
        places = []
        for week in range(horizon.weeks):
            monday = horizon.monday(week)
            days = days_from(monday, monday + timedelta(days=7)) if changes else (monday,)
            least = min(places_on(rows, kind, day) for day in days)
            places.append(max(0.0, least - taken[kind, week]))
        spaces.append(Space(kind, tuple(places)))
    return tuple(spaces)


def _standing(
    growing: Growing, products: Products, horizon: Horizon
) -> tuple[list[Standing], list[Occupancy], list[Supply]]:
    standing: list[Standing] = []
    fixed: list[Occupancy] = []
    for planting, outlook in zip(growing.plantings, growing.outlooks, strict=True):
        target = products.targets.get(planting.variety)
        for number, line in enumerate(outlook.lines):
            key = planting.key if len(outlook.lines) == 1 else f"{planting.key}/{number + 1}"
            found = _line(key, line, planting.schedule, target, horizon) if target else []
            if not found:
                fixed += [taken for room in (*line.on_the_way, *line.at_harvest) for taken in horizon.occupied(room)]
            standing += found
    supply = [
        Supply(one.item, one.key, week, items)
        for one in standing
        for week, items in (
            [(one.harvest.ready, one.harvest.items)]
            if isinstance(one.harvest, Heads)
            else [harvest for block in one.harvest.blocks for harvest in block.harvests]
        )
    ]
    return standing, fixed, supply


def _line(key: str, line: Line, schedule: Schedule, target: Target, horizon: Horizon) -> list[Standing]:
    if schedule.way is Way.HEAD:
        return _standing_heads(key, line, target, horizon)
    weekly = _by_week(line.coming, schedule.way, target, horizon)
    if not weekly:
        return []
    before = [taken for room in line.on_the_way for taken in horizon.occupied(room)]
    at_harvest = [taken for room in line.at_harvest for taken in horizon.occupied(room)]
    first = min(weekly)
    before += [taken for taken in at_harvest if taken.week < first]
    size = PICKING_BLOCK if schedule.way is Way.PICKED else 1
    weeks = sorted(weekly)
    blocks, start = [], first
    for at in range(0, len(weeks), size):
        of_block = weeks[at : at + size]
        room = tuple(taken for taken in at_harvest if start <= taken.week <= of_block[-1])
        blocks.append(Block(tuple((week, weekly[week]) for week in of_block), room))
        start = of_block[-1] + 1
    return [Standing(key, target.key, Cuts(tuple(blocks)), tuple(before))]


def _by_week(comings: Sequence[Coming], way: Way, target: Target, horizon: Horizon) -> dict[int, float]:
    """Items by week: a cutting in the first whole week it is ready, picking in the week it is picked in."""
    weekly: dict[int, float] = {}
    for coming in sorted(comings, key=lambda coming: coming.first):
        items = coming.amount * target.per_unit_cut
        if items <= LEAST or coming.last < horizon.start:
            continue
        week = max(0, horizon.week(coming.first))
        if way is Way.CUT:
            good = horizon.good_weeks(coming)
            week = max([good[0] if good else week, *(earlier + 1 for earlier in weekly)])
        weekly[week] = weekly.get(week, 0.0) + items
    return weekly


def _standing_heads(key: str, line: Line, target: Target, horizon: Horizon) -> list[Standing]:
    everything = sum(coming.amount for coming in line.coming)
    if everything <= LEAST:
        return []
    kind = line.at_harvest[0].kind
    places = sum(taken.places for taken in line.at_harvest)
    before = [taken for room in line.on_the_way for taken in horizon.occupied(room)]
    at_harvest = [taken for room in line.at_harvest for taken in horizon.occupied(room)]
    found = []
    for number, coming in enumerate(line.coming):
        weeks = horizon.good_weeks(coming)
        if weeks is None or coming.amount <= LEAST:
            continue
        share, items = coming.amount / everything, coming.amount * target.per_unit_cut
        waiting = [*before, *(taken for taken in at_harvest if taken.week < weeks[0])]
        room = tuple(Occupancy(taken.kind, taken.week, taken.places * share) for taken in waiting)
        name = key if len(line.coming) == 1 else f"{key}.{number + 1}"
        heads = Heads(weeks[0], weeks[1], items, kind, round(places * share / items, 9))
        found.append(Standing(name, target.key, heads, room))
    return found


def seed_on_hand(rows: FarmRows, as_of: date) -> dict[str, float]:
    """Seeds of each variety, by the last counts of its lots, a seed a plant.

    Nothing is known of a variety with a lot that was not counted, nor of one whose lots are all used up: who goes on
    sowing it has bought more.
    """
    found: dict[str, float] = defaultdict(float)
    for lot in rows.seed_lots:
        if lot.received is None or lot.received <= as_of:
            found[lot.variety] += math.inf if lot.seeds is None else lot.seeds
    return {variety: seeds for variety, seeds in found.items() if 0 < seeds < math.inf}


def _unhurried(rows: FarmRows, products: Products, needs: Needs, roomy: Collection[str]) -> set[str]:
    """Varieties that grow to their end where there is room, for markets alone: an order wants them on its day."""
    ordered = {promise.item for promise in needs.promises}
    ordered |= {part for mix in products.mixes if mix.item in ordered for part, _amount in mix.parts}
    last_kinds = {stage.variety: stage.kind for stage in rows.schedules if stage.harvest}
    return {
        variety
        for variety, target in products.targets.items()
        if last_kinds[variety] in roomy and target.key not in ordered
    }


def _sowings(
    rows: FarmRows, growing: Growing, products: Products, horizon: Horizon, unhurried: Collection[str]
) -> list[Sowing]:
    versions, counted = schedules_of(rows), seed_on_hand(rows, horizon.as_of)
    found = []
    for variety in rows.varieties:
        target = products.targets.get(variety.variety)
        if target is None or variety.part_plants == 0:
            continue
        for week in range(horizon.weeks):
            day = horizon.sowing_day(week)
            if not may_be_sown(variety, day):
                continue
            schedule = schedule_on(versions[variety.variety], day)
            own = growing.own.get(variety.variety)
            spare = RESERVE if variety.variety in unhurried else timedelta(0)
            sowing = sowing_of(variety, schedule, growing.place, own, target, week, horizon, spare)
            if week < SEED_WEEKS and variety.variety in counted:
                sowing = replace(sowing, seed=variety.variety, seeds=float(variety.part_plants))
            ready = through_stages([stage.need for stage in schedule.stages], growing.place, day, own)[-1].usual
            last = rows.the_farm.season_last_day
            if last is None or ready <= last:
                found.append(sowing)
    return found


def may_be_sown(variety: Variety, day: date) -> bool:
    """Whether a day lies in the variety's season of sowing."""
    return lies_within(day, variety.sow_first_day or (1, 1), variety.sow_last_day or (12, 31))


def stage_days(
    schedule: Schedule, place: Place, own: Slowness | None, week: int, horizon: Horizon
) -> tuple[list[Stage], date]:
    """Stages for the week's sowing day, in days from its Monday, and the day it is ready."""
    spans = through_stages([stage.need for stage in schedule.stages], place, horizon.sowing_day(week), own)
    stages, before = [], horizon.monday(week)
    for stage, span in zip(schedule.stages, spans, strict=True):
        days = (span.usual - before).days
        stages.append(Stage(stage.kind, float(days), 1.0 / stage.plants_per_place, stage.survive))
        before = span.usual
    return stages, before


def sowing_of(
    variety: Variety,
    schedule: Schedule,
    place: Place,
    own: Slowness | None,
    target: Target,
    week: int,
    horizon: Horizon,
    spare: timedelta = timedelta(0),
) -> Sowing:
    """One part of a variety sown in a week, counted on so much later than it is usually ready."""
    stages, ready = stage_days(schedule, place, own, week, horizon)
    stages[-1] = replace(stages[-1], days=stages[-1].days + spare.days)
    ready += spare
    per_plant = schedule.per_plant * target.per_unit_cut
    plants, cost = float(variety.part_plants), float(variety.part_cost)
    good = good_from(ready, schedule, horizon)
    if schedule.way is not Way.PICKED:
        stages = _ready_in_week(stages, good[0] - week)
    if schedule.way is Way.HEAD:
        return heads_sowing(
            target.key,
            week,
            plants,
            stages,
            stands_weeks=good[1] - good[0] + 1,
            items_per_plant=per_plant,
            cost=cost,
            way=variety.variety,
        )
    if schedule.way is Way.CUT:
        cuttings = _cuttings(schedule, place, own, ready, per_plant, horizon)
    else:
        cuttings = [
            Cutting(
                after,
                per_plant * min(PICKING_BLOCK, schedule.pick_weeks - after),
                min(PICKING_BLOCK, schedule.pick_weeks - after),
            )
            for after in range(0, schedule.pick_weeks, PICKING_BLOCK)
        ]
    return cut_sowing(target.key, week, plants, stages, cuttings, cost=cost, way=variety.variety)


def good_from(ready: date, schedule: Schedule, horizon: Horizon) -> tuple[int, int]:
    """Weeks in which what is ready on a day can be counted on."""
    coming = Coming(1, ready, ready + timedelta(days=schedule.stands_days - 1), 0.0, 0.0)
    return horizon.good_weeks(coming) or (0, 0)


def _ready_in_week(stages: list[Stage], after: int) -> list[Stage]:
    """Stages whose last ends so many weeks after the sowing; unchanged where the stage before lasts as long."""
    before = sum(stage.days for stage in stages[:-1])
    left = 7.0 * after - before
    return [*stages[:-1], replace(stages[-1], days=left)] if left > 0 else stages


def _cuttings(
    schedule: Schedule, place: Place, own: Slowness | None, ready: date, per_plant: float, horizon: Horizon
) -> list[Cutting]:
    """Each cutting in a week in which it is good, counted in weeks from the first."""
    weeks = cutting_weeks(schedule, place, own, ready, horizon)
    return [Cutting(week - weeks[0], per_plant * share) for week, share in zip(weeks, schedule.cuttings, strict=True)]


def cutting_weeks(schedule: Schedule, place: Place, own: Slowness | None, ready: date, horizon: Horizon) -> list[int]:
    """The week of each cutting of a crop first ready on a day."""
    weeks: list[int] = []
    for number, _share in enumerate(schedule.cuttings):
        if number and schedule.regrowth:
            cut_on = max(ready, horizon.monday(weeks[-1]))
            ready = over_on(schedule.regrowth, place, cut_on, own.factor if own else 1.0)
        weeks.append(max([good_from(ready, schedule, horizon)[0], *(week + 1 for week in weeks[-1:])]))
    return weeks


def _accepted(rows: FarmRows, products: Products, horizon: Horizon) -> tuple[Accepted, ...] | None:
    """Sowings noted as planned are the plan accepted before."""
    sizes = {variety.variety: variety.part_plants for variety in rows.varieties}
    parts: dict[tuple[str, int], float] = defaultdict(float)
    for planting in rows.plantings:
        week = horizon.week(planting.sown)
        if planting.state == "planned" and planting.variety in products.targets and 0 <= week < horizon.weeks:
            parts[planting.variety, week] += planting.plants / max(1, sizes[planting.variety])
    if not parts:
        return None
    return tuple(
        Accepted(products.targets[variety].key, week, amount, variety) for (variety, week), amount in parts.items()
    )
