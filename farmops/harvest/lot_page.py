"""What the pages of one lot in the cold room are about: which thing of which lot, how much, what it can become."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ObjectDoesNotExist
from django.http import QueryDict

from farmops.core.quantities import is_mass, unit_name
from farmops.growing.models import Item, Variety
from farmops.growing.natural_order import natural_key
from farmops.harvest.amounts_shown import figure, with_unit
from farmops.harvest.cold_room import mass_unit
from farmops.harvest.forms import WEIGHT_UNITS, PackForm
from farmops.harvest.models import Lot, StockMove
from farmops.harvest.move_stock import Lies, noted


@dataclass(frozen=True, slots=True)
class LotPage:
    """One thing of one lot.

    Attributes
    ----------
    amount : int
        What should lie there. [ng or counts]
    items : tuple of Item
        What it can be packed as.
    """

    what: Lies
    amount: int
    items: tuple[Item, ...]

    @property
    def figure(self) -> str:
        return figure(self.amount, self.what.unit, 3)

    @property
    def in_words(self) -> str:
        return with_unit(self.amount, self.what.unit, 2)

    @property
    def can_be_packed(self) -> bool:
        lot = self.what.lot
        return self.what.variety is not None and lot is not None and lot.planting_id is not None and self.amount > 0

    def pack_form(self, typed: QueryDict | None) -> PackForm:
        units = [unit for unit in WEIGHT_UNITS if is_mass(self.what.unit) and unit != self.what.unit]
        initial = {"used": self.figure if self.amount > 0 else "", "used_unit": self.what.unit}
        return PackForm(typed, items=self.items, units=(self.what.unit, *units), initial=initial)


def asked_for(asked: Mapping[str, str], today: date) -> LotPage:
    """The page of what an address names.

    Raises
    ------
    LookupError
        If it names nothing that there is.
    """
    try:
        lot = Lot.objects.select_related("planting__variety").get(pk=asked["lot"]) if asked.get("lot") else None
        variety = Variety.objects.get(pk=asked["variety"]) if asked.get("variety") else None
        item = Item.objects.get(pk=asked["item"]) if asked.get("item") else None
    except (ObjectDoesNotExist, ValueError) as error:
        raise LookupError(str(error)) from error
    unit = unit_name(asked.get("unit", ""))
    if (variety is None) == (item is None) or not 0 < len(unit) <= 20:
        raise LookupError("an address in the cold room names a variety or an item, and its unit")
    return _page(Lies(lot=lot, variety=variety, item=item, unit=unit), today)


def as_cut(lot: Lot, today: date) -> LotPage:
    """The page of what lies there of a planting's lot as it was cut.

    Raises
    ------
    LookupError
        If it is no lot of one planting.
    """
    if lot.planting is None:
        raise LookupError("only a lot of one planting lies there as cut")
    moves = StockMove.objects.live().filter(lot=lot, item=None)
    unit = moves.order_by("pk").values_list("unit", flat=True).first() or mass_unit()
    unit = mass_unit() if is_mass(unit) else unit_name(unit)
    return _page(Lies(lot=lot, variety=lot.planting.variety, unit=unit), today)


def _page(what: Lies, today: date) -> LotPage:
    items = Item.objects.filter(parts__variety=what.variety).distinct() if what.variety else Item.objects.none()
    return LotPage(what, noted(what, today)[0], tuple(sorted(items, key=lambda item: natural_key(item.name))))
