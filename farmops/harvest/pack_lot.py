"""Packing: what was taken of a lot as cut, and what it made of an item. The two are different weights and both stay."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import NG, is_mass, rounded, unit_name
from farmops.growing.models import Item
from farmops.harvest.models import Lot, StockMove
from farmops.harvest.typed_weight import Much, read_much, weight_in_words
from farmops.journal.deed import Done, Saying, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import turn_back


def pack_lot(
    *,
    saying: Saying,
    lot: Lot,
    item: Item,
    used: str,
    used_unit: str,
    packed: str,
    yes: frozenset[str] = frozenset(),
) -> Done:
    """Take so much of a lot, as cut, and put what it packed to into the cold room.

    Parameters
    ----------
    saying : Saying
    lot : Lot
        Of one planting.
    item : Item
    used, packed : str
        As typed; `packed` in the item's unit.
    used_unit : str
    yes : frozenset of str
        Questions answered with yes.

    Raises
    ------
    Refused
        If the lot is stopped, or an amount cannot be read.
    NeedsYes
        "water": more was packed than cut.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        if saying.corrects is not None:
            turn_back(saying.corrects, entry)
        fresh = (
            Lot.objects.select_for_update(no_key=True, of=("self",)).select_related("planting__variety").get(pk=lot.pk)
        )
        if fresh.planting is None:
            raise Refused(_("%(code)s is no lot of one planting.") % {"code": fresh.code}, field="lot")
        if fresh.stopped_at is not None:
            words = {"code": fresh.code, "reason": fresh.stopped_because or "?"}
            raise Refused(_("%(code)s is stopped: %(reason)s. It stays where it lies.") % words, field="lot")
        out = read_much(used, used_unit, "used", yes)
        made = _made(item, read_much(packed, item.unit, "packed", yes))
        check_water(out.mass_ng, made.mass_ng, out.unit, yes)
        facts = {"lot": fresh, "moved_on": saying.day, "why": StockMove.Why.PACKED, "entry": entry}
        save(StockMove(variety=fresh.planting.variety, amount=-out.amount, unit=out.unit, **facts))
        save(StockMove(item=item, amount=made.amount, unit=made.unit, cut_on=fresh.made_on, **facts))
        said = _("Packed %(packed)s of %(item)s out of %(used)s of %(code)s as cut") % {
            "packed": packed.strip(),
            "item": item.name,
            "used": used.strip(),
            "code": fresh.code,
        }
        return said, {"lot": fresh.code}

    return do_once(saying, Job.STOCK, write)


def packs_to(cut_ng: int, packed_percent: Decimal) -> int:
    """What is left of a weight as cut after washing and culling, by the schedule's share. [ng]"""
    return int(rounded(cut_ng * packed_percent / 100, 0))


def check_water(cut_ng: int | None, packed_ng: int | None, unit: str, yes: frozenset[str] = frozenset()) -> None:
    """More packed than cut is asked about: wet leaves weigh more, and so does a wrong figure.

    Raises
    ------
    NeedsYes
        "water".
    """
    if cut_ng is None or packed_ng is None or packed_ng <= cut_ng or "water" in yes:
        return
    raise NeedsYes(
        _("%(packed)s packed is more than the %(cut)s cut. Is that the water on the leaves?")
        % {"packed": weight_in_words(packed_ng, unit), "cut": weight_in_words(cut_ng, unit)},
        question="water",
        field="packed",
    )


def _made(item: Item, packed: Much) -> Much:
    """Bags of a known weight weigh what they hold."""
    if packed.mass_ng is not None or item.contains is None or not is_mass(item.contains_unit):
        return packed
    holds_ng = packed.amount * item.contains * NG[unit_name(item.contains_unit)]
    return replace(packed, mass_ng=int(rounded(holds_ng, 0)))
