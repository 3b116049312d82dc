"""What is wanted: orders and boxes as promises, market days as a spread of demand, all by day and outlet."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.calendar import monday_of
from farmops.core.demand import MarketRecord
from farmops.core.quantities import is_mass, unit_name
from farmops.planning.rows import BoxCount, FarmRows, Fault, FaultsFound, Item, MarketDay, Outlet, StandingOrder
from farmops.planning.standing import convert

DAY = timedelta(days=1)
FAILING_SHARE = Decimal("0.5")  # of the price: what failing a promise costs besides, where nothing is said


@dataclass(frozen=True, slots=True)
class Want:
    """So much of an item, wanted by one outlet on one day.

    Attributes
    ----------
    day : date
    outlet : str
    kind : str
        "market", "buyer" or "box".
    item : str
    amount : Decimal
        [units of the item]
    price, failing_costs : Decimal
        For one unit.
    """

    day: date
    outlet: str
    kind: str
    item: str
    amount: Decimal
    price: Decimal = Decimal(0)
    failing_costs: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class MarketDate:
    day: date
    outlet: Outlet


def days_from(first: date, end: date) -> Iterable[date]:
    """Days from one to before another."""
    return (first + DAY * number for number in range((end - first).days))


def is_closed(rows: FarmRows, outlet: str, day: date) -> bool:
    """Whether an outlet ("" the farm) is closed on a day, or out of the season."""
    farm = rows.the_farm
    if (farm.season_first_day and day < farm.season_first_day) or (farm.season_last_day and day > farm.season_last_day):
        return True
    return any(
        closed.first_day <= day <= (closed.last_day or closed.first_day) and closed.outlet in ("", outlet)
        for closed in rows.closed_days
    )


def market_dates(rows: FarmRows, first: date, end: date) -> list[MarketDate]:
    """Market days that take place from one day to before another: on the market's weekday, and others on the list.

    A closed day is a gap, not a day without demand.
    """
    called_off = {(row.date, row.market) for row in rows.market_days if row.status == "called off"}
    listed = {(row.date, row.market) for row in rows.market_days if row.status == "planned"}
    return [
        MarketDate(day, outlet)
        for day in days_from(first, end)
        for outlet in rows.outlets
        if outlet.kind == "market"
        and (outlet.weekday == day.weekday() or (day, outlet.outlet) in listed)
        and _is_open(rows, outlet, day)
        and (day, outlet.outlet) not in called_off
    ]


def _is_open(rows: FarmRows, outlet: Outlet, day: date) -> bool:
    return (
        (outlet.first_day is None or outlet.first_day <= day)
        and (outlet.last_day is None or day <= outlet.last_day)
        and not is_closed(rows, outlet.outlet, day)
    )


def price_of(rows: FarmRows, item: str, outlet: str, day: date) -> Decimal:
    """The price of a day: the outlet's own, else the one for every outlet.

    Raises
    ------
    FaultsFound
        If there is none.
    """
    for where in (outlet, ""):
        prices = [
            (price.from_day or date.min, price.price)
            for price in rows.prices
            if price.item == item and price.outlet == where and (price.from_day is None or price.from_day <= day)
        ]
        if prices:
            return max(prices, key=lambda dated: dated[0])[1]
    problem = _("%(item)s has no price at %(outlet)s on %(day)s.") % {"item": item, "outlet": outlet, "day": day}
    raise FaultsFound([Fault("prices", None, "price", problem, _("Add a row for it."))])


def promises(rows: FarmRows, first: date, end: date) -> list[Want]:
    """Standing orders and boxes from one day to before another, in order of days."""
    outlets = {outlet.outlet: outlet for outlet in rows.outlets}
    found = []
    for order in rows.standing_orders:
        for day in days_from(first, end):
            if _is_due(order, day) and not is_closed(rows, order.buyer, day):
                price = price_of(rows, order.item, order.buyer, day)
                found.append(_want(day, outlets[order.buyer], order.item, order.amount, price, order.failing_costs))
    for box in rows.box_counts:
        outlet = outlets[box.box]
        for week in _weeks(box, first, end):
            day = week + DAY * outlet.weekday
            if first <= day < end and not is_closed(rows, box.box, day):
                price = box.value if box.value is not None else price_of(rows, box.item, box.box, day)
                found.append(_want(day, outlet, box.item, box.boxes * box.amount, price, box.failing_costs))
    found = _with_single_wants(rows, found, first, end)
    return sorted(found, key=lambda want: (want.day, want.outlet, want.item))


def _with_single_wants(rows: FarmRows, standing: list[Want], first: date, end: date) -> list[Want]:
    """What was asked for once, added to what stands or put in its place."""
    outlets = {outlet.outlet: outlet for outlet in rows.outlets}
    single = [want for want in rows.single_wants if first <= want.day < end]
    instead = {(want.day, want.outlet, want.item): want for want in single if want.instead}
    kept = [want for want in standing if (want.day, want.outlet, want.item) not in instead]
    for want in (*instead.values(), *(want for want in single if not want.instead)):
        if want.amount > 0:
            price = price_of(rows, want.item, want.outlet, want.day)
            kept.append(_want(want.day, outlets[want.outlet], want.item, want.amount, price, None))
    return kept


def _want(day: date, outlet: Outlet, item: str, amount: Decimal, price: Decimal, failing: Decimal | None) -> Want:
    return Want(
        day, outlet.outlet, outlet.kind, item, amount, price, price * FAILING_SHARE if failing is None else failing
    )


def _is_due(order: StandingOrder, day: date) -> bool:
    if order.weekday != day.weekday():
        return False
    if (order.first_day and day < order.first_day) or (order.last_day and day > order.last_day):
        return False
    if order.every_weeks > 1 and order.first_day:
        return (monday_of(day) - monday_of(order.first_day)).days // 7 % order.every_weeks == 0
    return True


def _weeks(box: BoxCount, first: date, end: date) -> Iterable[date]:
    week, last = max(box.week, monday_of(first)), min(box.last_week or box.week, end)
    while week <= last:
        yield week
        week += 7 * DAY


def market_records(rows: FarmRows, as_of: date) -> tuple[list[MarketRecord], list[str]]:
    """What past market days tell the estimate, in steps, and what had to be left out, in words."""
    items = {item.item: item for item in rows.items}
    records: list[MarketRecord] = []
    left_out: dict[tuple[str, str], int] = defaultdict(int)
    too_early = 0
    for row in rows.market_days:
        if row.date > as_of or row.status != "took place":
            continue
        item = items.get(row.item)
        if item and not (is_mass(row.unit) and is_mass(item.unit)) and unit_name(row.unit) != unit_name(item.unit):
            left_out[row.item, row.unit] += 1
        elif row.brought is not None:
            too_early += len(row.sold_out_at) - len(_out_at(row))
            records.append(_record(row, item))
    words = [
        _("%(count)d market days of %(item)s counted in %(unit)s are left out: it is sold in another unit now.")
        % {"count": count, "item": name, "unit": unit}
        for (name, unit), count in sorted(left_out.items())
    ]
    if too_early:
        words.append(
            ngettext(
                "%(count)d time at which something ran out lies before the market opened and is not counted.",
                "%(count)d times at which something ran out lie before the market opened and are not counted.",
                too_early,
            )
            % {"count": too_early}
        )
    return records, words


def _out_at(row: MarketDay) -> tuple[int, ...]:
    """When it ran out; nobody buys before a market opens, so an earlier time tells nothing of how much was wanted."""
    return tuple(minute for minute in row.sold_out_at if minute >= row.opens)


def _sold(row: MarketDay) -> Decimal | None:
    """As noted; but sales counted up to some minute are not the day's, where what came back tells those."""
    is_part = bool(row.counted) and row.brought is not None and row.left_over is not None
    return None if is_part else row.sold


def _record(row: MarketDay, item: Item | None) -> MarketRecord:
    step = item.step if item else (row.step or Decimal(1))
    unit = item.unit if item else row.unit

    def steps(amount: Decimal | None) -> int | None:
        return None if amount is None else round(convert(amount, row.unit, unit) / step)

    filled_at = max((minute for minute, _much in row.restocks), default=row.restocked_at)
    out_at = _out_at(row)
    refilled_last = filled_at is not None and out_at and filled_at > max(out_at)
    ran_out = row.left_over == 0 if row.left_over is not None else bool(out_at) and not refilled_last
    restocks: tuple[tuple[int, int], ...] = ()
    if row.restocks:
        restocks = tuple((minute, steps(much) or 0) for minute, much in row.restocks)
    elif row.restocked and row.restocked_at is not None:
        restocks = ((row.restocked_at, steps(row.restocked) or 0),)
    return MarketRecord(
        day=row.date,
        market=row.market,
        item=row.item,
        category=item.category if item else "",
        opens=row.opens,
        closes=row.closes if row.left_at is None else max(min(row.left_at, row.closes), row.opens + 1),
        brought=steps(row.brought) or 0,
        carried_in=steps(row.carried_in) or 0,
        restocks=restocks,
        sold=steps(_sold(row)),
        left=steps(row.left_over),
        ran_out=ran_out,
        ran_out_at=out_at,
        price=None if row.price is None else float(row.price * step / convert(Decimal(1), row.unit, unit)),
        weather=row.weather,
    )
