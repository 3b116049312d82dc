"""More on the table: out of what was loaded, or brought besides; never both."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from farmops.journal.deed import Done, Saying, save
from farmops.journal.models import Entry
from farmops.journal.refusal import NeedsYes
from farmops.selling.at_stall import at_stall, begun, when_in_words
from farmops.selling.load_van import still_carried, taken_for, write_loaded
from farmops.selling.market_facts import Kind, KnownLine
from farmops.selling.models import MarketFact, MarketLine
from farmops.selling.own_hours import AS_NOTED, Hours, Said
from farmops.selling.typed_stock import stored_amount, with_unit


def restock(
    *,
    saying: Saying,
    line: MarketLine,
    typed: str,
    minute: int | None,
    is_besides: bool = False,
    yes: frozenset[str] = frozenset(),
    hours: Hours = AS_NOTED,
) -> Done:
    """Put more on the table: out of the van, where it was loaded, or `is_besides` that, out of the cold room.

    Raises
    ------
    Refused, NeedsYes
        As `stored_amount` and `keep_hours`; "more_than_loaded"; besides, "all_brought" where nothing is known to be
        loaded, and "more_than_lies" as `load`.
    """

    def write(entry: Entry) -> str:
        known = begun(saying, entry, line, Said.ON_THE_TABLE, minute, hours)
        amount = stored_amount(typed, line.unit, field="amount", yes=yes)
        if is_besides:
            _bring(saying, entry, known, amount, yes)
        else:
            _check_loaded(known, amount, yes)
        save(MarketFact(line=known.line, kind=Kind.RESTOCKED, amount=amount, minute=minute, entry=entry))
        words = {"item": line.item.name, "amount": with_unit(amount, line.unit), "when": when_in_words(minute)}
        if is_besides:
            return _("%(item)s: %(amount)s more brought, on the table %(when)s") % words
        return _("%(item)s: %(amount)s of what was loaded put on the table %(when)s") % words

    return at_stall(saying, line, write)


def _check_loaded(known: KnownLine, amount: int, yes: frozenset[str]) -> None:
    before, unit = known.amount(Kind.RESTOCKED) or 0, known.line.unit
    if known.loaded is None or before + amount <= known.loaded or "more_than_loaded" in yes:
        return
    words = {
        "item": known.line.item.name,
        "more": with_unit(before + amount, unit),
        "loaded": with_unit(known.loaded, unit),
    }
    raise NeedsYes(
        _("%(item)s: %(more)s put on the table later, but %(loaded)s were loaded. Is that so?") % words,
        question="more_than_loaded",
        field="amount",
    )


def _bring(saying: Saying, entry: Entry, known: KnownLine, amount: int, yes: frozenset[str]) -> None:
    line = known.line
    if known.loaded is None and "all_brought" not in yes:
        words: Mapping[str, str] = {"item": line.item.name, "amount": with_unit(amount, line.unit)}
        raise NeedsYes(
            _("How much of %(item)s was loaded is not noted. Are these %(amount)s all that was brought?") % words,
            question="all_brought",
            field="amount",
        )
    taken = taken_for(saying, [line], {line.pk: amount}, yes, field="amount")
    carried = still_carried([line.item_id], saying.day)
    write_loaded(entry, saying, line.market_day, line, taken[line.pk], carried.get(line.item_id, 0))
