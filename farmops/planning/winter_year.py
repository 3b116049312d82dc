"""A year by ISO week, as it is meant to be sold: market days, boxes of each size, standing orders, closed days."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from farmops.core.calendar import WEEK, monday_of
from farmops.growing.natural_order import natural_key
from farmops.planning.copy_year import weeks_between
from farmops.selling.market_dates import OpenDays, days_between, open_days
from farmops.selling.models import BoxCount, MarketDay, Outlet, StandingOrder
from farmops.selling.wants_of_day import is_due

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class BoxSize:
    """Boxes of a size: as many as its items are counted for, the fewest and the most."""

    box: str
    size: str
    fewest: int
    most: int


@dataclass(frozen=True, slots=True)
class Selling:
    """What one week is meant to sell, alike for weeks that are alike.

    Attributes
    ----------
    markets, off, orders : tuple of (weekday, name)
        Market days taken; market days that fall out, being closed or called off; buyers delivered to.
    boxes : tuple of BoxSize
    """

    markets: tuple[tuple[int, str], ...]
    off: tuple[tuple[int, str], ...]
    boxes: tuple[BoxSize, ...]
    orders: tuple[tuple[int, str], ...]

    @property
    def is_nothing(self) -> bool:
        return not (self.markets or self.boxes or self.orders)


@dataclass(frozen=True, slots=True)
class Run:
    """Weeks one after the other in which the same is sold, by the Mondays of the first and the last."""

    first: date
    last: date
    selling: Selling


@dataclass(frozen=True, slots=True)
class MarketOfYear:
    """One market: days it is taken to, and how many of them are on the list."""

    name: str
    days: int
    listed: int


@dataclass(frozen=True, slots=True)
class Year:
    """Everything that is meant to be sold in the weeks from one Monday to another."""

    runs: tuple[Run, ...]
    markets: tuple[MarketOfYear, ...]
    weeks: Mapping[date, Selling]


def selling_of(first: date, last: date) -> Year:
    """From a Monday to a Sunday. Seven queries, however much there is."""
    opened = open_days(first, last)
    outlets = sorted(Outlet.objects.all(), key=lambda one: natural_key(one.name))
    listed = {
        (one.held_on, one.outlet_id): one
        for one in MarketDay.objects.filter(held_on__gte=first, held_on__lte=last, entry__corrected_by=None)
    }
    taken, off = _markets(first, last, opened, outlets, listed)
    boxes, orders = _boxes(first, last, opened), _orders(first, last, opened)
    taken_by_week, off_by_week = _by_week(taken), _by_week(off)
    weeks = {
        monday: Selling(
            tuple(taken_by_week[monday]),
            tuple(off_by_week[monday]),
            tuple(boxes.get(monday, ())),
            tuple(sorted(orders.get(monday, ()), key=lambda one: (one[0], natural_key(one[1])))),
        )
        for monday in mondays(first, last)
    }
    days = Counter(outlet.pk for _day, outlet in taken)
    on_list = Counter(outlet.pk for day, outlet in taken if (day, outlet.pk) in listed)
    markets = [MarketOfYear(one.name, days[one.pk], on_list[one.pk]) for one in outlets if days[one.pk]]
    return Year(tuple(_runs(weeks)), tuple(markets), weeks)


def _by_week(days: Iterable[tuple[date, Outlet]]) -> dict[date, list[tuple[int, str]]]:
    found: dict[date, list[tuple[int, str]]] = defaultdict(list)
    for day, outlet in days:
        found[monday_of(day)].append((day.weekday(), outlet.name))
    return found


def mondays(first: date, last: date) -> Iterable[date]:
    """Mondays from one day to another."""
    return (day for day in days_between(first, last) if day.weekday() == 0)


def _markets(
    first: date,
    last: date,
    opened: OpenDays,
    outlets: Sequence[Outlet],
    listed: Mapping[tuple[date, int], MarketDay],
) -> tuple[list[tuple[date, Outlet]], list[tuple[date, Outlet]]]:
    """Days that are taken: the market's weekday, and others on the list; and those that fall out."""
    always = OpenDays(opened.season, ())
    taken: list[tuple[date, Outlet]] = []
    off: list[tuple[date, Outlet]] = []
    for day in days_between(first, last):
        for outlet in outlets:
            if outlet.kind != Outlet.Kind.MARKET:
                continue
            on_list = listed.get((day, outlet.pk))
            if on_list is None and (outlet.weekday != day.weekday() or not always.is_open(outlet, day)):
                continue
            is_off = on_list is not None and on_list.status == MarketDay.Status.CALLED_OFF
            held = on_list is not None and on_list.status == MarketDay.Status.TOOK_PLACE
            is_taken = held or (not is_off and opened.is_open(outlet, day))
            (taken if is_taken else off).append((day, outlet))
    return taken, off


def _boxes(first: date, last: date, opened: OpenDays) -> dict[date, list[BoxSize]]:
    counted: dict[date, dict[tuple[str, str], list[int]]] = defaultdict(lambda: defaultdict(list))
    for count in BoxCount.objects.live().select_related("box", "item").order_by("pk"):
        for monday in weeks_between(count, first, last):
            if count.boxes and opened.is_open(count.box, monday + DAY * count.box.weekday):
                counted[monday][count.box.name, count.size].append(count.boxes)
    return {
        monday: [
            BoxSize(box, size, min(of_size[box, size]), max(of_size[box, size]))
            for box, size in sorted(of_size, key=lambda one: (natural_key(one[0]), natural_key(one[1])))
        ]
        for monday, of_size in counted.items()
    }


def _orders(first: date, last: date, opened: OpenDays) -> dict[date, set[tuple[int, str]]]:
    """Weekday and buyer of each delivery, by week."""
    found: dict[date, set[tuple[int, str]]] = defaultdict(set)
    weeks = list(mondays(first, last))
    for order in StandingOrder.objects.live().select_related("buyer"):
        for monday in weeks:
            day = monday + DAY * order.weekday
            if is_due(order, day) and opened.is_open(order.buyer, day):
                found[monday].add((order.weekday, order.buyer.name))
    return found


def _runs(weeks: Mapping[date, Selling]) -> Iterable[Run]:
    first, before = None, None
    for monday, selling in weeks.items():
        if first is not None and before is not None and selling != weeks[before]:
            yield Run(first, before, weeks[before])
            first = None
        first, before = first or monday, monday
    if first is not None and before is not None:
        yield Run(first, before, weeks[before])


def year_of_plan(today: date) -> int:
    """The ISO year that most of the next twelve months lie in."""
    return int((today + 26 * WEEK).isocalendar().year)
