"""The lot of a planting's day: made by its first pick, joined by the others, and what a recall of it must follow."""

from collections.abc import Iterable
from datetime import date, datetime

from farmops.growing.models import Planting
from farmops.harvest.models import Lot, LotParent, Pick
from farmops.journal.deed import change, save
from farmops.journal.models import Entry

SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"  # 32 that nobody mistakes in wet handwriting: without O, 0, I and 1
LONGEST_REASON = 200


def lot_code(planting_key: int, day: date) -> str:
    """Planting and day in a few signs, 2F-P5J8; no other planting or day has them."""
    return f"{_in_signs(planting_key, 2)}-{_in_signs(day.toordinal(), 4)}"


def lot_of_the_day(entry: Entry, planting: Planting, day: date) -> Lot:
    """The planting's lot of that day, made where there is none yet. The planting is locked before."""
    of_the_day = Lot.objects.filter(planting=planting, made_on=day)
    there = next((lot for lot in of_the_day if lot.kind == Lot.Kind.HARVEST), None)  # once at most
    if there is not None:
        return there
    lot = Lot(code=lot_code(planting.pk, day), kind=Lot.Kind.HARVEST, planting=planting, made_on=day, entry=entry)
    save(lot)
    return lot


def stop_lot(entry: Entry, lot: Lot, now: datetime, because: str) -> None:
    """Nothing of it may go out. A second reason stands beside the first; only undoing both lets it go again."""
    reasons = [reason for reason in (lot.stopped_because, because) if reason]
    if lot.stopped_because == because:
        reasons = reasons[:1]
    change(entry, lot, stopped_at=now, stopped_because="; ".join(reasons)[:LONGEST_REASON])


def lots_to_recall(lot: Lot) -> list[Lot]:
    """Every lot that may hold what this one holds, itself first.

    What was mixed out of it follows, and so does a lot that a corrected pick names or once named: the crates that had
    gone out by then carry the one code and hold the other crop.
    """
    found = {lot.pk}
    fresh = {lot.pk}
    while fresh:
        children = LotParent.objects.filter(parent__in=fresh).values_list("lot", flat=True)
        fresh = {*children, *_named_by_corrections(fresh)} - found
        found |= fresh
    return [lot, *Lot.objects.filter(pk__in=found - {lot.pk}).order_by("made_on", "pk")]


def _named_by_corrections(lots: Iterable[int]) -> set[int]:
    """Lots of the picks before and after each correction of a pick of these lots, one step each way."""
    picks = Pick.objects.filter(lot__in=lots).values_list("entry", "entry__corrects", "entry__corrected_by")
    entries = {key for row in picks for key in row[1:] if key is not None}
    return set(Pick.objects.filter(entry__in=entries, lot__isnull=False).values_list("lot_id", flat=True))


def _in_signs(number: int, at_least: int) -> str:
    signs = ""
    while number or len(signs) < at_least:
        number, rest = divmod(number, len(SIGNS))
        signs = SIGNS[rest] + signs
    return signs
