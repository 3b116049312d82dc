"""What the stall's page shows: each loaded item with the state of its table in words, and how much was noted."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from farmops.selling.at_stall import price_in_words
from farmops.selling.market_facts import LOADED, Kind, KnownLine, known_lines
from farmops.selling.models import MarketDay
from farmops.selling.typed_clock import clock_of
from farmops.selling.typed_stock import with_unit


@dataclass(frozen=True, slots=True)
class Stand:
    """One item at the stall.

    Attributes
    ----------
    state : str
        On the table; sold out 11:40.
    notes : tuple of str
        Loaded so many, some of it put out at 10:15, more brought, another price.
    """

    known: KnownLine
    state: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StallPage:
    """The page of one market day.

    Attributes
    ----------
    stands : sequence of Stand
        What was loaded; all of the list where nothing is noted as loaded.
    others : sequence of Stand
        On the list and not loaded.
    entries : int
        Things noted at the stall so far.
    """

    day: MarketDay
    stands: Sequence[Stand]
    others: Sequence[Stand]
    entries: int

    @property
    def is_called_off(self) -> bool:
        return self.day.status == MarketDay.Status.CALLED_OFF

    def name_of(self, key: str) -> str:
        """The item of a line's key as it was sent; empty where there is none."""
        names = {str(stand.known.line.pk): stand.known.line.item.name for stand in (*self.stands, *self.others)}
        return names.get(key, "")


def stall_page(day: MarketDay) -> StallPage:
    """Two queries, however long the list."""
    lines = known_lines(day)
    is_loaded = any(known.loaded is not None for known in lines)
    stands: list[Stand] = []
    others: list[Stand] = []
    for known in lines:
        (stands if known.loaded or not is_loaded else others).append(_stand(known))
    noted = {fact.entry_id for known in lines for fact in known.facts if fact.kind not in LOADED}
    return StallPage(day, stands, others, len(noted))


def state_in_words(known: KnownLine) -> str:
    """Sold out 11:40; on the table; on the table again."""
    if known.is_empty:
        minute = known.out_at[-1]
        return _("sold out") if minute is None else _("sold out %(time)s") % {"time": clock_of(minute)}
    return _("on the table again") if known.empty else _("on the table")


def _stand(known: KnownLine) -> Stand:
    notes = []
    if known.loaded is not None:
        notes.append(_("%(amount)s loaded") % {"amount": with_unit(known.loaded - known.besides, known.line.unit)})
    for fact in known.of(Kind.RESTOCKED):
        words = {"amount": with_unit(fact.amount or 0, known.line.unit), "when": _when(fact.minute)}
        later = (
            _("%(amount)s more brought%(when)s") if known.is_besides(fact) else _("%(amount)s of it put out%(when)s")
        )
        notes.append(later % words)
    tallied = known.amount(Kind.TALLIED)
    if tallied is not None:
        notes.append(_("%(amount)s counted as sold") % {"amount": with_unit(tallied, known.line.unit)})
    for fact in known.of(Kind.PRICE):
        price = price_in_words(fact.price_cents or 0, fact.price_for or 1)
        notes.append(_("%(price)s%(when)s") % {"price": price, "when": _when(fact.minute)})
    return Stand(known, state_in_words(known), tuple(notes))


def _when(minute: int | None) -> str:
    return "" if minute is None else f" {clock_of(minute)}"
