"""What buyers and boxes want on given days: standing orders, box counts, and single wants over them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from farmops.core.calendar import WEEK, monday_of
from farmops.growing.models import Item
from farmops.growing.natural_order import natural_key
from farmops.selling.market_dates import OpenDays, days_between, open_days
from farmops.selling.models import BoxCount, Outlet, StandingOrder, Want


@dataclass(frozen=True, slots=True)
class Wanted:
    """So much of an item for one outlet on one day.

    Attributes
    ----------
    day : date
    outlet : Outlet
    item : Item
    amount : int
        As stored; 0 is "not this time". [ng or counts]
    row : StandingOrder, BoxCount or Want
        What says so.
    """

    day: date
    outlet: Outlet
    item: Item
    amount: int
    row: StandingOrder | BoxCount | Want

    @property
    def is_once(self) -> bool:
        """Asked for on this one day, beside what is standing or in its place."""
        return isinstance(self.row, Want)

    @property
    def is_left_out(self) -> bool:
        return self.amount == 0


def wants_of_days(first: date, last: date) -> list[Wanted]:
    """What is wanted from one day to another, both counted, in order of days, outlets and items. Six queries.

    On days when the farm or the outlet is closed nothing standing is due; what was asked for once is. A single want
    that replaces what is standing takes its place; of several for one day the last said counts.
    """
    opened = open_days(first, last)
    orders = StandingOrder.objects.live().select_related("buyer", "item").order_by("pk")
    boxes = BoxCount.objects.live().select_related("box", "item").order_by("pk")
    standing = [
        *_of_orders(orders, opened, first, last),
        *_of_boxes(boxes, opened, first, last),
    ]
    once = Want.objects.live().filter(wanted_on__gte=first, wanted_on__lte=last).select_related("outlet", "item")
    found = _with_single_wants(standing, list(once.order_by("pk")))
    return sorted(found, key=_in_order)


def _in_order(one: Wanted) -> tuple[object, ...]:
    return one.day, natural_key(one.outlet.name), natural_key(one.item.name), one.is_once, one.row.pk


def is_due(order: StandingOrder, day: date) -> bool:
    """Whether a standing order is delivered on a day: its weekday, within its days, every so many ISO weeks.

    Weeks are counted from the week of the first delivery, not by their numbers: after week 53 comes week 1.
    """
    if order.weekday != day.weekday():
        return False
    if (order.first_on and day < order.first_on) or (order.last_on and day > order.last_on):
        return False
    if order.every_weeks == 1 or order.first_on is None:
        return True
    return (monday_of(day) - monday_of(order.first_on)).days // 7 % order.every_weeks == 0


def next_due(order: StandingOrder, day: date) -> date | None:
    """The first delivery on or after a day; None where the order is over before it."""
    reach = day + timedelta(weeks=order.every_weeks)
    if order.first_on and order.first_on > day:
        reach = order.first_on + timedelta(weeks=order.every_weeks)
    start = max(day, order.first_on) if order.first_on else day
    return next((one for one in days_between(start, reach) if is_due(order, one)), None)


def _of_orders(orders: Iterable[StandingOrder], opened: OpenDays, first: date, last: date) -> Iterable[Wanted]:
    for order in orders:
        for day in days_between(first, last):
            if is_due(order, day) and opened.is_open(order.buyer, day):
                yield Wanted(day, order.buyer, order.item, order.amount, order)


def _of_boxes(boxes: Iterable[BoxCount], opened: OpenDays, first: date, last: date) -> Iterable[Wanted]:
    for count in boxes:
        week, over = max(monday_of(count.first_week), monday_of(first)), count.last_week or count.first_week
        while week <= min(over, last):
            day = week + timedelta(days=count.box.weekday)
            if first <= day <= last and count.boxes and opened.is_open(count.box, day):
                yield Wanted(day, count.box, count.item, count.boxes * count.amount, count)
            week += WEEK


def _with_single_wants(standing: Sequence[Wanted], once: Sequence[Want]) -> list[Wanted]:
    instead = {(want.wanted_on, want.outlet_id, want.item_id): want for want in once if want.replaces_standing}
    kept = [one for one in standing if (one.day, one.outlet.pk, one.item.pk) not in instead]
    beside = [want for want in once if not want.replaces_standing]
    single = [
        Wanted(want.wanted_on, want.outlet, want.item, want.amount, want) for want in (*instead.values(), *beside)
    ]
    return [*kept, *single]
