"""Lots with their picks and parents, picks with their figures, and the cold room's moves."""

from collections import defaultdict
from collections.abc import Iterator

from django.utils.translation import gettext as _

from farmops.core.quantities import is_mass
from farmops.exchange.check_farm.wrong import Wrong
from farmops.growing.models import Planting
from farmops.harvest.models import Lot, LotParent, Pick, StockMove


def wrong_harvests() -> Iterator[Wrong]:
    """Faults of picks, lots and stock."""
    for pick in Pick.objects.live().select_related("lot", "planting").order_by("pk").iterator():
        yield from _pick(pick)
    lots = {lot.pk: lot for lot in Lot.objects.order_by("pk")}
    parents: dict[int, set[int]] = defaultdict(set)
    for child, parent in LotParent.objects.values_list("lot", "parent"):
        parents[child].add(parent)
    for lot in lots.values():
        yield from _lot(lot, parents, lots)
    for move in StockMove.objects.live().select_related("lot").order_by("pk").iterator():
        yield from _move(move)


def _pick(pick: Pick) -> Iterator[Wrong]:
    called = f"{pick.planting.code}, {pick.picked_on}"
    if pick.picked_on < pick.planting.sown_on:
        yield Wrong.of(pick, _("It was cut before it was sown."), called)
    if pick.planting.state != Planting.State.DONE:
        yield Wrong.of(pick, _("It was cut of a planting that was not sown."), called)
    if pick.lot is None:
        yield Wrong.of(pick, _("It is in no lot, so nobody could find it again."), called)
    elif pick.lot.kind == Lot.Kind.HARVEST and (pick.lot.planting_id, pick.lot.made_on) != (
        pick.planting_id,
        pick.picked_on,
    ):
        yield Wrong.of(pick, _("It is in lot %(lot)s of another planting or day.") % {"lot": pick.lot.code}, called)
    if pick.gross_ng is not None and pick.mass_ng is not None:
        crates = (pick.crates or 0) * (pick.crate_tare_ng or 0)
        if crates >= pick.gross_ng:
            yield Wrong.of(pick, _("Its crates weigh more than all of it."), called)
    if pick.count_unit and is_mass(pick.count_unit):
        yield Wrong.of(pick, _("It counts in %(unit)s, a unit of weight.") % {"unit": pick.count_unit}, called)


def _lot(lot: Lot, parents: dict[int, set[int]], lots: dict[int, Lot]) -> Iterator[Wrong]:
    if (lot.stopped_at is None) != (lot.stopped_because == ""):
        yield Wrong.of(lot, _("It is stopped without a reason, or has a reason and is not stopped."), lot.code)
    if lot.kind == Lot.Kind.MIX and not parents[lot.pk]:
        yield Wrong.of(lot, _("It is a mix of nothing that is known."), lot.code)
    if lot.kind == Lot.Kind.RECEIVED and not lot.supplier:
        yield Wrong.of(lot, _("It was received, and nobody says from whom."), lot.code)
    for parent in sorted(parents[lot.pk]):
        if lots[parent].made_on > lot.made_on:
            yield Wrong.of(lot, _("It holds lot %(parent)s, made later.") % {"parent": lots[parent].code}, lot.code)
    if lot.pk in _all_before(lot.pk, parents):
        yield Wrong.of(lot, _("It went into itself."), lot.code)


def _all_before(lot: int, parents: dict[int, set[int]]) -> set[int]:
    found: set[int] = set()
    fresh = set(parents[lot])
    while fresh:
        found |= fresh
        fresh = {parent for one in fresh for parent in parents[one]} - found
    return found


def _move(move: StockMove) -> Iterator[Wrong]:
    comes_in = {StockMove.Why.PICKED, StockMove.Why.CAME_BACK}
    goes_out = {StockMove.Why.LOADED, StockMove.Why.DELIVERED, StockMove.Why.BOXED, StockMove.Why.DONATED,
                StockMove.Why.COMPOST, StockMove.Why.EATEN}  # fmt: skip
    called = f"{move.why}, {move.moved_on}"
    if (move.why in comes_in and move.amount < 0) or (move.why in goes_out and move.amount > 0):
        yield Wrong.of(move, _("It goes the wrong way."), called)
    if move.lot is not None and move.moved_on < move.lot.made_on:
        yield Wrong.of(move, _("It moved before lot %(lot)s was made.") % {"lot": move.lot.code}, called)
