"""What the page of orders shows: the coming days, the standing orders, the boxes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from farmops.growing.natural_order import natural_key
from farmops.selling.models import BoxCount, StandingOrder
from farmops.selling.typed_stock import with_unit
from farmops.selling.wants_of_day import Wanted, next_due, wants_of_days

AHEAD = timedelta(days=13)


@dataclass(frozen=True, slots=True)
class WantedLine:
    """One thing wanted on one day."""

    wanted: Wanted
    amount: str


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One standing order or box count.

    Attributes
    ----------
    next_on : date or None
        None: it is over, or not due within its rhythm.
    """

    row: StandingOrder | BoxCount
    amount: str
    next_on: date | None


@dataclass(frozen=True, slots=True)
class OrdersPage:
    """Days with what is wanted on them, orders and boxes that are not over, in natural order."""

    days: Sequence[tuple[date, Sequence[WantedLine]]]
    orders: Sequence[OrderLine]
    boxes: Sequence[OrderLine]


def orders_page(today: date) -> OrdersPage:
    """Eight queries, however many orders."""
    wanted = wants_of_days(today, today + AHEAD)
    days = [
        (day, [WantedLine(one, with_unit(one.amount, one.item.unit)) for one in ones])
        for day, ones in groupby(wanted, key=lambda one: one.day)
    ]
    orders = [one for one in StandingOrder.objects.live().select_related("buyer", "item") if _goes_on(one, today)]
    orders.sort(key=lambda one: (natural_key(one.buyer.name), one.weekday, natural_key(one.item.name), one.pk))
    counts = BoxCount.objects.live().select_related("box", "item")
    boxes = [one for one in counts if (one.last_week or one.first_week) + timedelta(days=6) >= today]
    boxes.sort(key=lambda one: (natural_key(one.box.name), natural_key(one.size), one.first_week, one.pk))
    return OrdersPage(
        days,
        [OrderLine(one, with_unit(one.amount, one.item.unit), next_due(one, today)) for one in orders],
        [OrderLine(one, with_unit(one.amount, one.item.unit), None) for one in boxes],
    )


def _goes_on(order: StandingOrder, today: date) -> bool:
    return order.last_on is None or order.last_on >= today
