"""The cold room as its page shows it: what lies there, what is oldest first, how old it is and what to sell first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.db.models import Min
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.models import Farm
from farmops.growing.models import Item, ItemPart
from farmops.harvest.amounts_shown import with_unit
from farmops.harvest.stock import BY_WEIGHT, Lying, LyingLot, in_the_cold_room

LAST_DAYS = 1  # this many days before it is too old it is sold first


@dataclass(frozen=True, slots=True)
class LotRow:
    """So much of one lot.

    Attributes
    ----------
    age : str
        "cut today", "3 days old"; empty where the day is not known.
    hint : str
        What to do about it: sell first, too old, count it.
    stopped : str
        Why it may not go out.
    address : str
        Where it is counted, packed or taken out.
    """

    code: str
    amount: str
    age: str
    hint: str
    stopped: str
    address: str


@dataclass(frozen=True, slots=True)
class RoomRow:
    """One variety as cut, or one item as packed; `is_owed`: more went out than was noted coming in."""

    name: str
    is_packed: bool
    amount: str
    lots: Sequence[LotRow]
    is_owed: bool = False


def cold_room(today: date) -> list[RoomRow]:
    """Everything that lies there; the same few queries however much it is."""
    weight_unit = mass_unit()
    of_item = dict(Item.objects.values_list("pk", "keeps_days"))
    parts = ItemPart.objects.values("variety").annotate(keeps=Min("item__keeps_days")).order_by()
    of_variety = {part["variety"]: part["keeps"] for part in parts}
    return [_row(one, weight_unit, of_item, of_variety) for one in in_the_cold_room(today)]


def mass_unit() -> str:
    """What weights are shown in."""
    return Farm.objects.values_list("units", flat=True).first() or Farm.Units.LB.value


def _row(one: Lying, weight_unit: str, of_item: Mapping[int, int], of_variety: Mapping[int, int]) -> RoomRow:
    unit = weight_unit if one.unit == BY_WEIGHT else one.unit
    keeps = of_item.get(one.item or 0) if one.item else of_variety.get(one.variety or 0)
    lots = [
        LotRow(
            code=lot.code or _("lot not known"),
            amount=with_unit(lot.amount, unit),
            age=age_in_words(lot.age_days),
            hint=_hint(lot, keeps),
            stopped=(lot.stopped_because or "?") if lot.is_stopped else "",
            address=_address(one, lot, unit),
        )
        for lot in one.lots
    ]
    return RoomRow(one.name, one.item is not None, with_unit(one.amount, unit), lots, one.amount < 0)


def age_in_words(days: int | None) -> str:
    if days is None:
        return ""
    if days == 0:
        return _("cut today")
    return ngettext("%(n)d day old", "%(n)d days old", days) % {"n": days}


def _hint(lot: LyingLot, keeps: int | None) -> str:
    if lot.amount < 0:
        return _("more went out than came in: count it")
    if lot.is_stopped or lot.age_days is None or keeps is None:
        return ""
    if lot.age_days > keeps:
        return ngettext("too old: it keeps %(n)d day", "too old: it keeps %(n)d days", keeps) % {"n": keeps}
    return _("sell first") if keeps - lot.age_days <= LAST_DAYS else ""


def _address(one: Lying, lot: LyingLot, unit: str) -> str:
    named = {"lot": lot.lot or "", "variety": one.variety or "", "item": one.item or "", "unit": unit}
    asked = {name: value for name, value in named.items() if value}
    return f"{reverse('cold-room-lot')}?{urlencode(asked)}"
