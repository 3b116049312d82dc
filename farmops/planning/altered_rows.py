"""A farm's rows as they would be with one thing otherwise: a market day or boxes more, a space out of use, a price."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from farmops.core.calendar import monday_of
from farmops.planning.rows import BoxCount, FarmRows, Price, Space

DAY = timedelta(days=1)
WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class MarketMore:
    """A market held on one weekday more, with the customers it has on its own day."""

    outlet: str
    weekday: int
    first: date
    last: date | None


@dataclass(frozen=True, slots=True)
class BoxesMore:
    """So many boxes of a size more (or fewer, never below none) in the weeks of two days and between."""

    box: str
    size: str
    more: int
    first: date
    last: date | None


@dataclass(frozen=True, slots=True)
class OutOfUse:
    """A space that cannot be used from a day to another, both counted."""

    space: str
    first: date
    last: date | None


@dataclass(frozen=True, slots=True)
class PriceChanged:
    """An item's price everywhere, up or down by so many percent from a day on."""

    item: str
    percent: int
    first: date


Alteration = MarketMore | BoxesMore | OutOfUse | PriceChanged


def altered(rows: FarmRows, change: Alteration) -> FarmRows:
    """The rows with one thing otherwise; nothing else moves.

    Raises
    ------
    ValueError
        If the rows know no such outlet, box, space or item.
    """
    if isinstance(change, MarketMore):
        return _market_more(rows, change)
    if isinstance(change, BoxesMore):
        return _boxes_more(rows, change)
    if isinstance(change, OutOfUse):
        return _out_of_use(rows, change)
    return _price_changed(rows, change)


def _market_more(rows: FarmRows, change: MarketMore) -> FarmRows:
    own = [one for one in rows.outlets if one.outlet == change.outlet]
    if not own:
        raise ValueError(f"there is no outlet {change.outlet!r}")
    more = replace(own[0], weekday=change.weekday, first_day=change.first, last_day=change.last)
    return replace(rows, outlets=(*rows.outlets, more))


def _boxes_more(rows: FarmRows, change: BoxesMore) -> FarmRows:
    counts: list[BoxCount] = []
    found = False
    for row in rows.box_counts:
        if (row.box, row.size) == (change.box, change.size):
            found = True
            counts += _with_more(row, change)
        else:
            counts.append(row)
    if not found:
        raise ValueError(f"there are no boxes {change.box!r} of size {change.size!r}")
    return replace(rows, box_counts=tuple(counts))


def _with_more(row: BoxCount, change: BoxesMore) -> Iterable[BoxCount]:
    """One count as up to three: before, with more, after."""
    last = row.last_week or row.week
    begins = max(row.week, monday_of(change.first))
    ends = last if change.last is None else min(last, monday_of(change.last))
    if begins > ends:
        return [row]
    parts = [replace(row, week=begins, last_week=ends, boxes=max(0, row.boxes + change.more))]
    if row.week < begins:
        parts.insert(0, replace(row, last_week=begins - WEEK))
    if ends < last:
        parts.append(replace(row, week=ends + WEEK, last_week=last))
    return parts


def _out_of_use(rows: FarmRows, change: OutOfUse) -> FarmRows:
    spaces: list[Space] = []
    for space in rows.spaces:
        if space.space != change.space:
            spaces.append(space)
            continue
        if space.from_day is None or space.from_day < change.first:
            ends = change.first if space.to_day is None else min(space.to_day, change.first)
            spaces.append(replace(space, to_day=ends))
        if change.last is not None and (space.to_day is None or space.to_day > change.last + DAY):
            begins = change.last + DAY if space.from_day is None else max(space.from_day, change.last + DAY)
            spaces.append(replace(space, from_day=begins))
    if all(space.space != change.space for space in rows.spaces):
        raise ValueError(f"there is no space {change.space!r}")
    return replace(rows, spaces=tuple(spaces))


def _price_changed(rows: FarmRows, change: PriceChanged) -> FarmRows:
    """Of each outlet's price: the one of the day, and every later one, times the same."""
    times = Decimal(100 + change.percent) / 100
    own = [one for one in rows.prices if one.item == change.item]
    if not own:
        raise ValueError(f"there is no price of {change.item!r}")
    more: list[Price] = []
    for outlet in dict.fromkeys(one.outlet for one in own):
        dated = sorted((one.from_day or date.min, one.price) for one in own if one.outlet == outlet)
        now = [price for day, price in dated if day <= change.first]
        if now:
            more.append(Price(item=change.item, outlet=outlet, from_day=change.first, price=now[-1] * times))
        more += [
            Price(item=change.item, outlet=outlet, from_day=day, price=price * times)
            for day, price in dated
            if day > change.first
        ]
    kept = [one for one in rows.prices if one.item != change.item or (one.from_day or date.min) < change.first]
    return replace(rows, prices=(*kept, *more))
