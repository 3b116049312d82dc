"""Buyers, boxes and their orders, for the tests of selling."""

from farmops.selling.box_counts import add_boxes
from farmops.selling.models import BoxCount, Outlet, StandingOrder
from farmops.selling.orders import add_order
from tests.selling.market import an_item, saying


def a_buyer(name="Bistro", weekday=4):
    return Outlet.objects.get_or_create(name=name, defaults={"kind": "buyer", "weekday": weekday})[0]


def a_box(name="weekly box", weekday=3):
    return Outlet.objects.get_or_create(name=name, defaults={"kind": "box", "weekday": weekday})[0]


def an_order(buyer=None, item=None, typed="12", weekday=4, key=None, **other):
    """A standing order as the deed stores it."""
    buyer, item = buyer or a_buyer(), item or an_item()
    key = key or f"order {buyer} {item} {weekday} {typed}"
    add_order(saying=saying(key), buyer=buyer, item=item, weekday=weekday, typed=typed, **other)
    return StandingOrder.objects.get(entry__once_key=key)


def a_count(first_on, last_on=None, boxes=20, typed="2", item=None, size="", **other):
    """A box count as the deed stores it."""
    item = item or an_item()
    key = f"boxes {first_on} {size} {item} {boxes} {typed}"
    facts = {"box": a_box(), "first_on": first_on, "last_on": last_on, "boxes": boxes, "size": size}
    add_boxes(saying=saying(key), item=item, typed=typed, **facts, **other)
    return BoxCount.objects.get(entry__once_key=key)
