"""What a harvest day must supply: wants of the coming days, each on the last harvest day from which it still keeps."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from farmops.core.demand import Learned, MarketRecord
from farmops.planning.bringing import learn_from, what_to_bring
from farmops.planning.economics import Economics
from farmops.planning.needs import market_guesses
from farmops.planning.rows import FarmRows, Item
from farmops.planning.wants import (
    DAY,
    MarketDate,
    Want,
    days_from,
    market_dates,
    market_records,
    price_of,
    promises,
)

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

    For a market day the grower's own figure counts (a row of status "planned", its `brought`); without one, what
    `what_to_bring` says from the records up to the evening before `day`, at the farm's prices and costs.
    """
    end = day + LOOK_AHEAD
    return [*promises(rows, day, end), *_market_wants(rows, day, end)]


def _market_wants(rows: FarmRows, day: date, end: date) -> list[Want]:
    meant = [
        Want(row.date, row.market, "market", row.item, row.brought, row.price or Decimal(0))
        for row in rows.market_days
        if row.status == "planned" and day <= row.date < end and row.brought
    ]
    decided = {(want.day, want.outlet) for want in meant}
    dates = [
        market
        for market in market_dates(rows, day, end)
        if (market.day, market.outlet.outlet) not in decided and _last_harvest_day(rows, market.day) == day
    ]
    noted, _left_out = market_records(rows, day - DAY)
    if not dates or not noted:
        return meant
    # A notebook of market days knows no categories: without them here, both say the same amount.
    records = [replace(record, category="") for record in noted]
    guesses = market_guesses(rows, day - DAY)
    learned = learn_from(records, day - DAY, guesses)
    for market in dates:
        meant += _to_bring(rows, market, records, guesses, learned)
    return meant


def _to_bring(
    rows: FarmRows,
    market: MarketDate,
    records: Sequence[MarketRecord],
    guesses: Mapping[tuple[str, str], float],
    learned: Learned,
) -> list[Want]:
    """What the page of market days says to bring, at the prices of this market and day."""
    name = market.outlet.outlet
    items = {item.item: item for item in rows.items}
    own = [record for record in records if record.market == name and record.item in items]
    prices = {item: price_of(rows, item, name, market.day) for item in {record.item for record in own}}
    economics = {item: _economics(rows, items[item], price) for item, price in prices.items()}
    outlook = what_to_bring(
        own, economics, as_of=learned.as_of, next_days={name: market.day}, guesses=guesses, learned=learned
    )
    return [
        Want(market.day, name, "market", line.item, line.advice.fresh * items[line.item].step, prices[line.item])
        for of_market in outlook.markets
        for line in of_market.items
        if line.advice.fresh
    ]


def _economics(rows: FarmRows, item: Item, price: Decimal) -> Economics:
    """The farm's figures for one unit: cost and worth of a leftover as last noted on a market day."""
    noted = sorted((row for row in rows.market_days if row.item == item.item), key=lambda row: row.date)
    costs = [row.unit_cost for row in noted if row.unit_cost is not None]
    worth = [row.leftover_value for row in noted if row.leftover_value is not None]
    unit_cost = None
    if costs:
        figure, is_share = costs[-1]
        unit_cost = float(price * figure if is_share else figure)
    leftover = worth[-1] if worth else item.leftover_value
    return Economics(float(price), unit_cost, float(leftover), item.unit, float(item.step))
