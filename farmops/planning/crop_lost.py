"""If a planting were lost: who would be short, in which week, by how much, and what could still be done.

Each week's crop of a variety is held against what is wanted of it that week: orders and boxes as promised, markets
as they were usually brought. Where it does not reach, markets go short before promises, and a promise that costs
little to fail before one that costs more.
"""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from farmops.core.calendar import monday_of
from farmops.core.coming import Outlook
from farmops.core.growth import Span, through_stages
from farmops.core.schedule import Planting
from farmops.planning.after_waits import after_waits
from farmops.planning.horizon import products_of
from farmops.planning.rows import FarmRows
from farmops.planning.standing import Growing
from farmops.planning.wants import DAY, Want, market_dates, price_of, promises

LOOK_BACK = 60  # days of market days that tell what is usually brought
WEEK = timedelta(days=7)
HARDLY = 0.05  # units; less than that nobody notices


@dataclass(frozen=True, slots=True)
class ShortOf:
    """So much less for one want. [units of the item]"""

    want: Want
    short: float


@dataclass(frozen=True, slots=True)
class ShortWeek:
    """One week in which it would be missed.

    Attributes
    ----------
    monday : date
    missing : float
        What the planting would have given. [unit of the variety, packed]
    spare : float
        Of that, what is not needed that week. [unit of the variety, packed]
    shorts : sequence of ShortOf
        Beyond what would be short anyway.
    """

    monday: date
    missing: float
    spare: float
    shorts: Sequence[ShortOf]


@dataclass(frozen=True, slots=True)
class CropLost:
    """The answer.

    Attributes
    ----------
    unit : str
        Of the variety, packed.
    weeks : sequence of ShortWeek
    plants : int
        To sow again for as many.
    ready : Span
        When a sowing of today would be ready.
    in_time : bool
        Before the last of those weeks is over.
    buy_in : float
        What all together would be short. [unit of the variety, packed]
    """

    unit: str
    weeks: Sequence[ShortWeek]
    plants: int
    ready: Span
    in_time: bool
    buy_in: float


def crop_lost(rows: FarmRows, growing: Growing, code: str, today: date) -> CropLost:
    """What the loss of a standing planting would mean.

    Raises
    ------
    KeyError
        If no such planting stands.
    """
    growing = after_waits(rows, growing, today)
    planting, own = next(
        (pair for pair in zip(growing.plantings, growing.outlooks, strict=True) if pair[0].key == code), (None, None)
    )
    if planting is None or own is None:
        raise KeyError(code)
    per_item = {
        item: dict(parts)[planting.variety]
        for item, parts in products_of(rows).parts.items()
        if planting.variety in dict(parts)
    }
    supply = _by_week(growing, planting.variety, today)
    lost = _of_one(own, planting, today)
    wanted = _wanted(rows, per_item, today, max(lost, default=today) + WEEK)
    weeks = [
        _week(monday, missing, supply.get(monday, 0.0), wanted.get(monday, ()), per_item)
        for monday, missing in sorted(lost.items())
    ]
    needs = [stage.need for stage in planting.schedule.stages]
    ready = through_stages(needs, growing.place, today, growing.own.get(planting.variety))[-1]
    short = math.fsum(one.short * per_item[one.want.item] for week in weeks for one in week.shorts)
    return CropLost(
        unit=planting.schedule.unit,
        weeks=weeks,
        plants=math.ceil(planting.plants),
        ready=ready,
        in_time=bool(lost) and ready.usual < max(lost) + WEEK,
        buy_in=short,
    )


def _of_one(outlook: Outlook, planting: Planting, today: date) -> dict[date, float]:
    """What a planting gives by the week in which it is ready, packed."""
    found: dict[date, float] = defaultdict(float)
    for coming in outlook.coming:
        if coming.amount > 0:
            found[monday_of(max(coming.first, today))] += coming.amount * planting.schedule.packed
    return found


def _by_week(growing: Growing, variety: str, today: date) -> dict[date, float]:
    found: dict[date, float] = defaultdict(float)
    for planting, outlook in zip(growing.plantings, growing.outlooks, strict=True):
        if planting.variety == variety:
            for monday, amount in _of_one(outlook, planting, today).items():
                found[monday] += amount
    return found


def _wanted(rows: FarmRows, per_item: Mapping[str, float], today: date, end: date) -> dict[date, list[Want]]:
    """Wants of the items made of it, by week, in the order in which they go short."""
    wants = [want for want in promises(rows, monday_of(today), end + WEEK) if want.item in per_item]
    wants += _markets(rows, per_item, today, end + WEEK)
    by_week: dict[date, list[Want]] = defaultdict(list)
    for want in sorted(wants, key=lambda want: (want.kind != "market", want.failing_costs, want.day, want.outlet)):
        by_week[monday_of(want.day)].append(want)
    return by_week


def _markets(rows: FarmRows, per_item: Mapping[str, float], today: date, end: date) -> list[Want]:
    """Coming market days, at what was usually brought of late."""
    brought: dict[tuple[str, str], list[Decimal]] = defaultdict(list)
    for row in rows.market_days:
        is_lately = today - LOOK_BACK * DAY <= row.date < today and row.status == "took place"
        if row.item in per_item and is_lately and row.brought is not None:
            brought[row.market, row.item].append(row.brought)
    found = []
    for market in market_dates(rows, monday_of(today), end):
        for (outlet, item), amounts in brought.items():
            if outlet == market.outlet.outlet:
                usual = sum(amounts, Decimal(0)) / len(amounts)
                found.append(Want(market.day, outlet, "market", item, usual, price_of(rows, item, outlet, market.day)))
    return found


def _week(
    monday: date, missing: float, supply: float, wants: Sequence[Want], per_item: Mapping[str, float]
) -> ShortWeek:
    needed = math.fsum(float(want.amount) * per_item[want.item] for want in wants)
    anyway = max(0.0, needed - supply)
    then = max(0.0, needed - (supply - missing))
    before, after = _share(anyway, wants, per_item), _share(then, wants, per_item)
    shorts = [
        ShortOf(want, more - less)
        for want, less, more in zip(wants, before, after, strict=True)
        if more - less > HARDLY
    ]
    return ShortWeek(monday, missing, max(0.0, missing - (then - anyway)), shorts)


def _share(short: float, wants: Sequence[Want], per_item: Mapping[str, float]) -> list[float]:
    """How much each want goes short, in units of its item: the first ones wholly before the next."""
    found = []
    for want in wants:
        part = min(short, float(want.amount) * per_item[want.item])
        found.append(part / per_item[want.item])
        short -= part
    return found
