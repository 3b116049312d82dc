"""What a harvest day must supply: wants of the coming days, each on the last harvest day from which it still keeps."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from farmops.core.demand import Ask, advise, learn
from farmops.planning.economics import COST_SHARE
from farmops.planning.rows import FarmRows, Item
from farmops.planning.wants import DAY, Want, days_from, market_dates, market_records, price_of, promises

LOOK_AHEAD = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class NoHarvestDay:
    """A want for which no harvest day lies near enough: it would be `days_kept` days old."""

    want: Want
    item: Item
    days_kept: int


@dataclass(frozen=True, slots=True)
class DayNeeds:
    """Wants to cut for on a day, and those that have no harvest day (listed on the last one before them)."""

    day: date
    wants: tuple[Want, ...]
    without_day: tuple[NoHarvestDay, ...]


def needs_of_day(rows: FarmRows, day: date, wants: Sequence[Want]) -> DayNeeds:
    """Share wants out over harvest days; what falls on `day`, in order of days and outlets."""
    items = {item.item: item for item in rows.items}
    today, without = [], []
    for want in sorted(wants, key=lambda want: (want.day, want.outlet, want.item)):
        last = _last_harvest_day(rows, want.day)
        if last != day:
            continue
        days_kept = (want.day - last).days
        if days_kept <= items[want.item].keeps_days:
            today.append(want)
        else:
            without.append(NoHarvestDay(want, items[want.item], days_kept))
    return DayNeeds(day, tuple(today), tuple(without))


def is_harvest_day(rows: FarmRows, day: date) -> bool:
    """Whether there is a harvest on a day: one of the farm's days, and the farm is not closed."""
    harvest_days = rows.the_farm.harvest_days
    closed = any(not row.outlet and row.first_day <= day <= (row.last_day or row.first_day) for row in rows.closed_days)
    return not closed and (not harvest_days or day.weekday() in harvest_days)


def _last_harvest_day(rows: FarmRows, wanted: date) -> date | None:
    """The last harvest day on or before a day: the fresher the better."""
    earliest = wanted - LOOK_AHEAD
    return next((day for day in reversed(list(days_from(earliest, wanted + DAY))) if is_harvest_day(rows, day)), None)


def wants_after(rows: FarmRows, day: date) -> list[Want]:
    """Orders, boxes and market days of the coming two weeks.

    For a market day the grower's own figure counts (a row of status "planned", its `brought`); without one, what the
    estimate says is worth bringing, from the records up to and including `day`.
    """
    end = day + LOOK_AHEAD
    return [*promises(rows, day, end), *_market_wants(rows, day, end)]


def _market_wants(rows: FarmRows, day: date, end: date) -> list[Want]:
    meant = [
        Want(row.date, row.market, "market", row.item, row.brought)
        for row in rows.market_days
        if row.status == "planned" and day <= row.date < end and row.brought
    ]
    decided = {(want.day, want.outlet) for want in meant}
    dates = [market for market in market_dates(rows, day, end) if (market.day, market.outlet.outlet) not in decided]
    records, _left_out = market_records(rows, day)
    if not dates or not records:
        return meant
    learned = learn(records, as_of=day)
    known = {(record.market, record.item) for record in records if (day - record.day).days <= 400}
    items = {item.item: item for item in rows.items}
    for market in dates:
        for name, item in items.items():
            if (market.outlet.outlet, name) not in known:
                continue
            price = price_of(rows, name, market.outlet.outlet, market.day)
            step = item.step
            ask = Ask(
                day=market.day,
                market=market.outlet.outlet,
                item=name,
                category=item.category,
                opens=market.outlet.opens,
                closes=market.outlet.closes,
                price=float(price * step),
                unit_cost=float(_unit_cost(rows, item, price) * step),
                leftover_value=float(item.leftover_value * step),
            )
            bring = advise(learned, ask).fresh
            if bring:
                meant.append(Want(market.day, market.outlet.outlet, "market", name, bring * step, price))
    return meant


def _unit_cost(rows: FarmRows, item: Item, price: Decimal) -> Decimal:
    """To grow and pick one unit: as last noted on a market day, else a starting guess."""
    noted = [row for row in rows.market_days if row.item == item.item and row.unit_cost is not None]
    if not noted:
        return price * Decimal(str(COST_SHARE))
    figure, is_share = max(noted, key=lambda row: row.date).unit_cost or (Decimal(0), False)
    return price * figure if is_share else figure
