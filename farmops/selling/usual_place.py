"""Where an item's leftovers usually go: as last time; before there was one, home if it keeps, else the compost."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.db.models import Max

from farmops.growing.models import Item
from farmops.selling.market_facts import Kind
from farmops.selling.models import MarketFact

LATELY = timedelta(days=120)
KEEPS = 4  # days; what keeps so long can be sold again


def usual_places(items: Iterable[Item], before: date) -> dict[int, str]:
    """Where each item's leftovers went on its last market day before one, by the item's key. One query."""
    found = {item.pk: (Kind.HOME if item.keeps_days >= KEEPS else Kind.COMPOST).value for item in items}
    last: dict[int, date] = {}
    went = (
        MarketFact.objects.live()
        .filter(
            line__item__in=list(found),
            line__market_day__held_on__lt=before,
            line__market_day__held_on__gte=before - LATELY,
            kind__in=(Kind.HOME, Kind.DONATED, Kind.COMPOST),
            amount__gt=0,
        )
        .order_by()
        .values("line__item", "kind")
        .annotate(last=Max("line__market_day__held_on"))
    )
    for row in sorted(went, key=lambda row: (row["last"], row["kind"])):
        last[row["line__item"]] = row["last"]
        found[row["line__item"]] = row["kind"]
    return found
