"""The cold room put right: counted by hand, thrown on the compost, given away, eaten."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Min, Sum
from django.utils.translation import gettext as _

from farmops.core.quantities import NG, is_mass, unit_name
from farmops.growing.models import Item, Variety
from farmops.harvest.amounts_shown import with_unit
from farmops.harvest.models import Lot, StockMove
from farmops.harvest.stock import can_lie_there
from farmops.harvest.typed_weight import Much, read_much
from farmops.journal.deed import Done, Saying, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import turn_back

Why = StockMove.Why
OUT = (Why.COMPOST, Why.DONATED, Why.EATEN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lies:
    """One thing of one lot in the cold room.

    Attributes
    ----------
    lot : Lot or None
        None: lot not known.
    variety, item
        One of them: a variety as cut, or an item as packed.
    unit : str
        What it is counted in; of weights the one they are shown in.
    """

    unit: str
    lot: Lot | None = None
    variety: Variety | None = None
    item: Item | None = None

    @property
    def name(self) -> str:
        return str(self.item or self.variety)


def count_stock(*, saying: Saying, what: Lies, there: str, yes: frozenset[str] = frozenset()) -> Done:
    """Note how much really lies there, whatever was noted before; 0 is an answer.

    Raises
    ------
    Refused, NeedsYes
        As `read_much`.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        lot = _begin(entry, saying, what)
        found = read_much(there, what.unit, "there", yes, may_be_zero=True)
        before, cut_on = noted(what, saying.day)
        more = found.amount - before
        # A count that agrees is still a count: somebody looked.
        for amount in (more,) if more else (-before, before):
            if amount:
                save(_move(entry, saying, what, lot, amount, found.unit, Why.COUNTED, cut_on))
        words = {"there": there.strip(), "name": what.name, "noted": with_unit(before, found.unit, 2)}
        said = _("Counted %(there)s of %(name)s; noted were %(noted)s") % words
        return _with_lot(said, lot), {"amount": found.amount}

    return do_once(saying, Job.STOCK, write)


def take_out(
    *,
    saying: Saying,
    what: Lies,
    amount: str,
    why: StockMove.Why,
    where_to: str = "",
    yes: frozenset[str] = frozenset(),
) -> Done:
    """Take so much out of the cold room: onto the compost, given away, eaten.

    Raises
    ------
    Refused
        If it cannot be read, or a stopped lot would go to people.
    NeedsYes
        "more": more than what is noted there.
    """
    if why not in OUT:
        raise ValueError(f"out of the cold room by hand goes what is one of {OUT}, got {why}")

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        lot = _begin(entry, saying, what)
        if lot is not None and lot.stopped_at is not None and why != Why.COMPOST:
            words = {"code": lot.code, "reason": lot.stopped_because or "?"}
            raise Refused(_("%(code)s is stopped: %(reason)s. Nobody gets any of it.") % words, field="amount")
        out = read_much(amount, what.unit, "amount", yes)
        before, cut_on = noted(what, saying.day)
        if out.amount > before and "more" not in yes:
            words = {"noted": with_unit(max(before, 0), out.unit, 2), "name": what.name}
            raise NeedsYes(
                _("Only %(noted)s of %(name)s should lie there. Was it more all the same?") % words,
                question="more",
                field="amount",
            )
        move = _move(entry, saying, what, lot, -out.amount, out.unit, why, cut_on)
        move.where_to = where_to.strip()
        save(move)
        words = {"amount": _typed(amount, out), "name": what.name, "why": str(why.label)}
        said = _("%(amount)s of %(name)s: %(why)s") % words
        return _with_lot(f"{said}, {where_to.strip()}" if where_to.strip() else said, lot), {"amount": out.amount}

    return do_once(saying, Job.STOCK, write)


def _begin(entry: Entry, saying: Saying, what: Lies) -> Lot | None:
    """Lock the lot, or what it is where no lot is known, and take back what is corrected."""
    if saying.corrects is not None:
        turn_back(saying.corrects, entry)
    if what.lot is not None:
        return Lot.objects.select_for_update(no_key=True).get(pk=what.lot.pk)
    if what.item is not None:
        Item.objects.select_for_update(no_key=True).get(pk=what.item.pk)
    elif what.variety is not None:
        Variety.objects.select_for_update(no_key=True).get(pk=what.variety.pk)
    return None


def noted(what: Lies, day: date) -> tuple[int, date | None]:
    """How much should lie there by all that was noted, and from when its age counts. [ng or counts]"""
    moves = StockMove.objects.live().filter(can_lie_there(day), lot=what.lot, moved_on__lte=day)
    moves = moves.filter(item=what.item) if what.item else moves.filter(item=None, variety=what.variety)
    units = list(NG) if is_mass(what.unit) else [unit_name(what.unit)]
    found = moves.filter(unit__in=units).aggregate(sum=Sum("amount"), cut_on=Min("cut_on"))
    return int(found["sum"] or 0), found["cut_on"]


def _move(
    entry: Entry,
    saying: Saying,
    what: Lies,
    lot: Lot | None,
    amount: int,
    unit: str,
    why: StockMove.Why,
    cut_on: date | None,
) -> StockMove:
    return StockMove(
        lot=lot,
        variety=what.variety,
        item=what.item,
        moved_on=saying.day,
        amount=amount,
        unit=unit,
        why=why,
        cut_on=cut_on or (lot.made_on if lot else None),
        entry=entry,
    )


def _typed(typed: str, much: Much) -> str:
    return typed.strip() if much.has_unit else f"{typed.strip()} {much.unit}"


def _with_lot(said: str, lot: Lot | None) -> str:
    return f"{said} ({lot.code})" if lot else said
