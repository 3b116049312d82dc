"""What the page of outlets shows: where is sold and when, with what each item costs there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from farmops.growing.natural_order import natural_key
from farmops.selling.models import Outlet, OutletClosedDays, Price
from farmops.selling.typed_stock import money_in_words


@dataclass(frozen=True, slots=True)
class OutletLine:
    """One outlet with the days on which it is closed from today on."""

    outlet: Outlet
    closed: Sequence[OutletClosedDays]


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One price; `where` is empty for every outlet without its own."""

    price: Price
    where: str
    money: str


@dataclass(frozen=True, slots=True)
class OutletsPage:
    """Outlets in natural order by kind, prices by item."""

    outlets: Sequence[OutletLine]
    prices: Sequence[PriceLine]


def outlets_page(today: date) -> OutletsPage:
    """Three queries, however many there are."""
    outlets = list(Outlet.objects.all())
    closed = closed_by_outlet(today)
    outlets.sort(key=lambda one: (one.kind, natural_key(one.name)))
    prices = sorted(Price.objects.select_related("item", "outlet"), key=_in_order)
    return OutletsPage(
        [OutletLine(one, closed.get(one.pk, [])) for one in outlets],
        [PriceLine(one, one.outlet.name if one.outlet else "", money_in_words(one.price_cents)) for one in prices],
    )


def closed_by_outlet(today: date) -> Mapping[int, Sequence[OutletClosedDays]]:
    """Closed days that are not over, by the outlet's key, soonest first."""
    found: dict[int, list[OutletClosedDays]] = {}
    for one in sorted(OutletClosedDays.objects.filter(last_on__gte=today), key=lambda one: (one.first_on, one.pk)):
        found.setdefault(one.outlet_id, []).append(one)
    return found


def _in_order(price: Price) -> tuple[object, ...]:
    where = natural_key(price.outlet.name) if price.outlet else ((), "")
    return natural_key(price.item.name), where, price.from_on or date.min
