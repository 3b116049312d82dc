"""What a unit costs on a day: the outlet's own price before the one for every outlet, the latest that has begun."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q

from farmops.growing.models import Item
from farmops.selling.models import Outlet, Price


def prices_on(items: Iterable[Item], outlet: Outlet, day: date) -> dict[int, int]:
    """Price of each item at an outlet on a day, by the item's key; items without one are left out. [cents]"""
    found: dict[int, tuple[tuple[bool, date], int]] = {}
    prices = Price.objects.filter(
        Q(outlet=outlet) | Q(outlet=None),
        Q(from_on=None) | Q(from_on__lte=day),
        item__in=[item.pk for item in items],
    )
    for price in prices:
        rank = (price.outlet_id is not None, price.from_on or date.min)
        if price.item_id not in found or rank > found[price.item_id][0]:
            found[price.item_id] = (rank, price.price_cents)
    return {item: price_cents for item, (_rank, price_cents) in found.items()}
