"""What of the cold room a pick list may count on, and what it must not: nobody noted what went out of it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Q
from django.utils.translation import gettext as _

from farmops.core.quantities import from_nanograms, is_mass, unit_name
from farmops.harvest.amounts_shown import with_unit
from farmops.harvest.models import Pick, StockMove
from farmops.harvest.stock import BY_WEIGHT, Lying, LyingLot, in_the_cold_room
from farmops.planning.pick_list_words import day_in_words
from farmops.planning.picking_stock import Stock
from farmops.planning.rows import FarmRows
from farmops.planning.wants import DAY, days_from

SEEN = (StockMove.Why.COUNTED, StockMove.Why.COMPOST, StockMove.Why.DONATED, StockMove.Why.EATEN)


@dataclass(frozen=True, slots=True)
class ColdRoom:
    """What a list counts on, and in words what it does not, and why."""

    stock: tuple[Stock, ...]
    left_out: tuple[str, ...]


def cold_room_for(rows: FarmRows, day: date) -> ColdRoom:
    """What lies there on the evening before a day, with what was counted or thrown out since; three queries.

    What is cut on the day itself is being cut for this list. A lot counts only while it is sure that it still lies
    there: once a selling day has passed and nothing of it was noted as gone, most of it has gone all the same, but for
    what was cut for this very list.
    """
    which = Q(moved_on__lt=day) | Q(moved_on=day, why__in=SEEN)
    lying = in_the_cold_room(day - DAY, which)
    keys = [lot.lot for one in lying for lot in one.lots if lot.lot is not None]
    gone = StockMove.objects.live().filter(which, lot__in=keys).filter(Q(amount__lt=0) | Q(why=StockMove.Why.COUNTED))
    for_it = _cut_for(day, keys)
    looked_after = {(lot, item) for lot, item in gone.values_list("lot", "item")}
    units = _units(rows)
    selling = {outlet.weekday for outlet in rows.outlets} | {order.weekday for order in rows.standing_orders}
    stock, left_out = [], []
    for one in lying:
        for lot in one.lots:
            if _amount(one, lot, units) is None or lot.cut_on is None or lot.is_stopped or lot.cut_on >= day:
                continue
            is_sure = (lot.lot, one.item) in looked_after or not _was_sold_since(lot.cut_on, day, selling)
            there = lot.amount if is_sure else min(lot.amount, for_it.get((lot.lot, one.item), 0))
            amount = _amount(one, replace(lot, amount=there), units)
            if amount is not None:
                stock.append(Stock(one.name, one.item is not None, amount, lot.cut_on, lot.code))
            if there < lot.amount and day - lot.cut_on <= timedelta(days=_longest_kept(rows)):
                left_out.append(_not_counted_on(one, replace(lot, amount=lot.amount - there), units))
    return ColdRoom(tuple(stock), tuple(left_out))


def _cut_for(day: date, lots: Iterable[int]) -> Mapping[tuple[int | None, int | None], int]:
    """What was cut for the list of a day before that day: lot and no item. [ng or counts]"""
    entries = Pick.objects.live().filter(cut_for__pick_on=day, picked_on__lt=day, lot__in=lots).values("entry")
    moves = StockMove.objects.live().filter(entry__in=entries, why=StockMove.Why.PICKED)
    found: dict[tuple[int | None, int | None], int] = defaultdict(int)
    for lot, item, amount in moves.values_list("lot", "item", "amount"):
        found[lot, item] += amount
    return found


def _units(rows: FarmRows) -> Mapping[tuple[str, bool], str]:
    """In what an item (True) and a variety as cut (False) are counted."""
    return {
        **{(item.item, True): item.unit for item in rows.items},
        **{(stage.variety, False): stage.unit for stage in rows.schedules if stage.harvest},
    }


def _amount(one: Lying, lot: LyingLot, units: Mapping[tuple[str, bool], str]) -> Decimal | None:
    """Nothing where it is counted in another unit than it is cut or sold in."""
    unit = units.get((one.name, one.item is not None), "")
    if lot.amount <= 0 or not unit:
        return None
    if one.unit == BY_WEIGHT:
        return from_nanograms(lot.amount, unit) if is_mass(unit) else None
    return Decimal(lot.amount) if unit_name(unit) == one.unit else None


def _was_sold_since(cut_on: date, day: date, selling: Iterable[int]) -> bool:
    weekdays = set(selling)
    return any(one.weekday() in weekdays for one in days_from(cut_on, day))


def _longest_kept(rows: FarmRows) -> int:
    return max((item.keeps_days for item in rows.items), default=0)


def _not_counted_on(one: Lying, lot: LyingLot, units: Mapping[tuple[str, bool], str]) -> str:
    unit = units[one.name, one.item is not None]
    return _(
        "Cold room: %(amount)s of %(name)s (%(lot)s, cut %(day)s) should still lie there, but nobody noted what went "
        "out since. Not counted on; look, and count it."
    ) % {
        "amount": with_unit(lot.amount, unit),
        "name": one.name,
        "lot": lot.code or _("lot not known"),
        "day": day_in_words(lot.cut_on) if lot.cut_on else "?",
    }
