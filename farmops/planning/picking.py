"""The pick list of a harvest day: how much of what for whom, what to cut where, and what may not be cut."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from zoneinfo import ZoneInfo

from farmops.core.mixing import Part, most_of_strict_mix
from farmops.core.quantities import is_mass, unit_name
from farmops.core.schedule import Planting
from farmops.core.waiting_times import job_end, not_before
from farmops.planning.day_needs import DayNeeds, needs_of_day, wants_after
from farmops.planning.rows import FarmRows, Item, ScheduleStage, Waiting
from farmops.planning.standing import Growing, convert, growing_of
from farmops.planning.wants import DAY, Want

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class ItemLine:
    """So much of an item, split by who wants it. [units of the item, packed]"""

    item: Item
    total: Decimal
    wants: tuple[Want, ...]


@dataclass(frozen=True, slots=True)
class Source:
    """Cut so much of a planting here. [unit of the variety, as cut]"""

    planting: str
    spaces: tuple[str, ...]
    amount: Decimal


@dataclass(frozen=True, slots=True)
class CutLine:
    """A variety to cut: for so much packed, so much must be cut; where; and what is not there."""

    variety: str
    unit: str
    packed: Decimal
    cut: Decimal
    sources: tuple[Source, ...]
    short: Decimal


@dataclass(frozen=True, slots=True)
class StrictMix:
    """A mix that is short: by its exact shares so much of it can be made. [units of the item, packed]"""

    item: Item
    wanted: Decimal
    most: Decimal


@dataclass(frozen=True, slots=True)
class Blocked:
    """A planting that may not be cut; `until` None: the label's days are not known, so not until somebody has asked."""

    planting: str
    variety: str
    spaces: tuple[str, ...]
    until: datetime | None
    product: str


@dataclass(frozen=True, slots=True)
class PickList:
    needs: DayNeeds
    items: tuple[ItemLine, ...]
    cuts: tuple[CutLine, ...]
    mixes: tuple[StrictMix, ...]
    blocked: tuple[Blocked, ...]


def pick_list(rows: FarmRows, day: date, wants: Sequence[Want] | None = None) -> PickList:
    """The pick list of a day.

    Parameters
    ----------
    rows : FarmRows
    day : date
        Records up to and including the day before count: the list is made on that evening.
    wants : sequence of Want, optional
        Instead of the farm's orders, boxes and market days.

    Raises
    ------
    FaultsFound
        If an item wanted has no price.
    """
    needs = needs_of_day(rows, day, wants_after(rows, day) if wants is None else wants)
    growing = growing_of(rows, day - DAY)
    blocked = blocked_on(rows, growing.plantings, day)
    items = _item_lines(rows, needs.wants)
    available = _available(growing, day, {one.planting for one in blocked})
    cuts = _cut_lines(rows, items, available)
    return PickList(needs, items, cuts, _short_mixes(rows, items, cuts, available), blocked)


def _item_lines(rows: FarmRows, wants: Sequence[Want]) -> tuple[ItemLine, ...]:
    by_item: dict[str, list[Want]] = defaultdict(list)
    for want in wants:
        by_item[want.item].append(want)
    return tuple(
        ItemLine(item, sum((want.amount for want in by_item[item.item]), ZERO), tuple(by_item[item.item]))
        for item in rows.items
        if item.item in by_item
    )


def _available(growing: Growing, day: date, blocked: set[str]) -> dict[str, list[tuple[date, Planting, float]]]:
    """What can be cut on a day, by variety: since when it is ready, whose, how much."""
    found: dict[str, list[tuple[date, Planting, float]]] = defaultdict(list)
    for planting, outlook in zip(growing.plantings, growing.outlooks, strict=True):
        if planting.key in blocked:
            continue
        for coming in outlook.coming:
            amount = coming.amount if is_mass(planting.schedule.unit) else math.floor(coming.amount + 1e-6)
            if coming.first <= day <= coming.last and amount > 0:
                found[planting.variety].append((planting.sown, planting, amount))
    for of_variety in found.values():
        of_variety.sort(key=lambda ready: (ready[0], ready[1].key))
    return found


def _last_stages(rows: FarmRows) -> dict[str, ScheduleStage]:
    return {stage.variety: stage for stage in rows.schedules if stage.harvest}


def _packed_by_variety(rows: FarmRows, items: Sequence[ItemLine]) -> dict[str, Decimal]:
    """Packed amount of each variety for all items together, in the variety's own unit."""
    last = _last_stages(rows)
    packed: dict[str, Decimal] = defaultdict(lambda: ZERO)
    for line in items:
        contains_unit = line.item.contains_unit or line.item.unit
        for part in rows.item_parts:
            if part.item == line.item.item:
                amount = line.total * (line.item.contains or 1) * part.share
                packed[part.variety] += convert(amount, unit_name(contains_unit), unit_name(last[part.variety].unit))
    return packed


def _cut_lines(
    rows: FarmRows, items: Sequence[ItemLine], available: dict[str, list[tuple[date, Planting, float]]]
) -> tuple[CutLine, ...]:
    last, lines = _last_stages(rows), []
    for variety, packed in sorted(_packed_by_variety(rows, items).items()):
        stage = last[variety]
        cut = packed / stage.packed
        left, sources = cut, []
        for _since, planting, amount in available.get(variety, []):
            part = min(left, Decimal(str(round(amount, 6))))
            if part > 0:
                sources.append(Source(planting.key, spaces_of(planting), part))
                left -= part
        lines.append(CutLine(variety, unit_name(stage.unit), packed, cut, tuple(sources), max(ZERO, left)))
    return tuple(lines)


def _short_mixes(
    rows: FarmRows,
    items: Sequence[ItemLine],
    cuts: Sequence[CutLine],
    available: dict[str, list[tuple[date, Planting, float]]],
) -> tuple[StrictMix, ...]:
    """Mixes of which the exact shares cannot be had: what a strict mix gives if nothing else takes its parts."""
    short = {line.variety for line in cuts if line.short > 0}
    last, found = _last_stages(rows), []
    for line in items:
        parts = {part.variety: Part(part.share) for part in rows.item_parts if part.item == line.item.item}
        if len(parts) < 2 or not short & set(parts):
            continue
        unit = unit_name(line.item.contains_unit or line.item.unit)
        there = {
            variety: convert(
                sum((Decimal(str(round(amount, 6))) for _since, _planting, amount in available.get(variety, [])), ZERO)
                * last[variety].packed,
                unit_name(last[variety].unit),
                unit,
            )
            for variety in parts
        }
        most = most_of_strict_mix(there, parts) / (line.item.contains or 1)
        found.append(StrictMix(line.item, line.total, min(line.total, most)))
    return tuple(found)


def spaces_of(planting: Planting) -> tuple[str, ...]:
    """Where a planting stands now."""
    return tuple(dict.fromkeys(stand.space for stand in planting.stands if stand.to_day is None))


def blocked_on(rows: FarmRows, plantings: Sequence[Planting], day: date) -> tuple[Blocked, ...]:
    """Plantings that may not be cut at any time of a day's morning: off the list until the wait is over.

    Waits follow the plants: what stood in a treated space on the day of the job carries it wherever it went, and all
    of a planting waits if a part of it was treated. A crop that came into the space later has nothing to wait for.
    """
    zone = rows.the_farm.time_zone
    morning = datetime.combine(day, time(), ZoneInfo(zone))
    found = []
    for planting in plantings:
        latest: Blocked | None = None
        for row in rows.waiting:
            if row.ended > day or not _was_treated(planting, row):
                continue
            hours = None if row.entry_hours is None else float(row.entry_hours)
            until = not_before(job_end(row.ended, row.ended_at, zone), row.harvest_days, hours)
            if until is not None and until <= morning:
                continue
            one = Blocked(planting.key, planting.variety, spaces_of(planting), until, row.product)
            if latest is None or until is None or (latest.until is not None and until > latest.until):
                latest = one
        if latest is not None:
            found.append(latest)
    return tuple(found)


def _was_treated(planting: Planting, row: Waiting) -> bool:
    if row.planting and row.planting != planting.key:
        return False
    return not row.space or any(
        stand.space == row.space and stand.from_day <= row.ended and (stand.to_day is None or row.ended <= stand.to_day)
        for stand in planting.stands
    )
