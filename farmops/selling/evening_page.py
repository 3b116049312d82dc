"""The evening's page: per item what came back and where it went, as typed or as known, and what it adds up to."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmops.journal.deed import Done, Saying
from farmops.journal.refusal import Refused
from farmops.selling.balance_words import balance_in_words, takings_in_words
from farmops.selling.call_off import close_day
from farmops.selling.came_back import CameBack, came_back
from farmops.selling.line_troubles import Troubles, each_line
from farmops.selling.market_facts import LEFTOVER, Kind, KnownLine, known_lines, plainly
from farmops.selling.models import MarketDay
from farmops.selling.typed_stock import in_figures, money_in_words, stored_amount
from farmops.selling.usual_place import usual_places

PLACES = tuple((kind.value, gettext_lazy("not noted where") if kind == Kind.LEFT else kind.label) for kind in LEFTOVER)


@dataclass(frozen=True, slots=True)
class Place:
    """One of several places: its word, and what stands in its box."""

    kind: str
    label: str
    figure: str


@dataclass(frozen=True, slots=True)
class BackRow:
    """One item of the evening.

    Attributes
    ----------
    figure, place : str
        What stands in the box, and where that goes.
    places : tuple of Place
        For what went to several.
    is_split : bool
        It went to several.
    seen : str
        What was known when the page was made: home:3;donated:8.
    is_unknown : bool
    """

    known: KnownLine
    figure: str
    place: str
    places: tuple[Place, ...]
    is_split: bool
    seen: str
    is_unknown: bool
    sums: tuple[str, ...]
    takings: tuple[str, ...]
    troubles: Troubles

    @property
    def wrong(self) -> str:
        """What is wrong with what was typed here."""
        return self.troubles.get(self.known.line.pk, "")


@dataclass(frozen=True, slots=True)
class EveningPage:
    """The page of one market day; `rest` counts what "the rest: none came back" would write."""

    day: MarketDay
    rows: Sequence[BackRow]
    rest: int
    entries: int
    taken: str

    @property
    def first_wrong(self) -> BackRow | None:
        return next((row for row in self.rows if row.wrong), None)

    @property
    def is_called_off(self) -> bool:
        return self.day.status == MarketDay.Status.CALLED_OFF


def evening_page(day: MarketDay, typed: QueryDict | None = None, troubles: Troubles | None = None) -> EveningPage:
    """What is known, or what was typed where a form comes back, with what is wrong with it. Three queries."""
    troubles = Troubles() if troubles is None else troubles
    lines = known_lines(day)
    places = usual_places([known.line.item for known in lines], day.held_on)
    is_loaded = any(known.loaded is not None for known in lines)
    shown = [known for known in lines if known.loaded != 0 and (known.loaded or not is_loaded or known.facts)]
    rows = [_row(known, places[known.line.item_id], typed, troubles) for known in shown]
    entries = {fact.entry_id for known in lines for fact in known.facts}
    return EveningPage(day, rows, sum(row.is_unknown for row in rows), len(entries), _taken(shown))


def evening_done(
    saying: Saying, day: MarketDay, typed: QueryDict, yes: frozenset[str], *, rest_none: bool, closes: bool
) -> Done:
    """Note what was typed; with `rest_none` none of the rest, with `closes` the evening is done.

    Raises
    ------
    Refused, NeedsYes
        As the deeds; amounts that cannot be read name their items.
    """
    said = replace(saying, is_from_memory=bool(typed.get("from_memory")))
    back = read_evening(typed, known_lines(day), yes)
    if not back and not rest_none and closes:
        return close_day(saying=said, market_day=day)
    done = came_back(saying=said, market_day=day, said=back, rest_none=rest_none, yes=yes)
    if closes:
        with suppress(Refused):  # somebody closed it in the meantime; what was typed is kept all the same
            return close_day(saying=replace(said, key=f"{said.key[:70]}+close"), market_day=day)
    return done


def read_evening(typed: QueryDict, lines: Sequence[KnownLine], yes: frozenset[str]) -> dict[int, CameBack]:
    """What was typed of each line; a box left empty says nothing, and what stood there already is not said again.

    Raises
    ------
    Refused, NeedsYes
        As `each_line`.
    """
    of_line = {known.line: known for known in lines}
    typed_of = each_line(of_line, lambda line: _amounts(typed, of_line[line], yes))
    found = {}
    for key, amounts in typed_of.items():
        seen = _seen(typed.get(f"seen-{key}", ""))
        if amounts and amounts != seen:
            found[key] = CameBack(amounts, seen)
    return found


def _amounts(typed: QueryDict, known: KnownLine, yes: frozenset[str]) -> dict[str, int]:
    key, unit = known.line.pk, known.line.unit
    boxes = {kind.value: typed.get(f"{kind.value}-{key}", "").strip() for kind in LEFTOVER}
    one, place = typed.get(f"back-{key}", "").strip(), typed.get(f"to-{key}", "")
    if one:
        if place not in boxes or boxes[place]:
            raise Refused(_("Say once how much went where: in the one box, or in the boxes of the places."))
        boxes[place] = one
    amounts = {
        kind: stored_amount(text, unit, field=f"{kind}-{key}", yes=yes, may_be_zero=True)
        for kind, text in boxes.items()
        if text
    }
    return plainly(amounts.items())


def _seen(text: str) -> dict[str, int]:
    pairs = (part.partition(":") for part in text.split(";") if part)
    return {kind: int(amount) for kind, _colon, amount in pairs if amount.isdecimal() and len(amount) < 20}


def _row(known: KnownLine, usual: str, typed: QueryDict | None, troubles: Troubles) -> BackRow:
    key, unit = known.line.pk, known.line.unit
    amounts = {kind: amount for kind, amount in known.came_back.items() if amount}
    is_none = bool(known.came_back) and not amounts
    one = next(iter(amounts)) if len(amounts) == 1 else ""
    figure = in_figures(amounts[one], unit) if one else "0" if is_none else ""
    several = amounts if len(amounts) > 1 else {}
    boxes = {kind: in_figures(several[kind], unit) if kind in several else "" for kind, _label in PLACES}
    place = one or usual
    if typed is not None:
        figure, place = typed.get(f"back-{key}", figure), typed.get(f"to-{key}", place)
        boxes = {kind: typed.get(f"{kind}-{key}", text) for kind, text in boxes.items()}
    return BackRow(
        known=known,
        figure=figure,
        place=place,
        places=tuple(Place(kind, str(label), boxes[kind]) for kind, label in PLACES),
        is_split=any(boxes.values()),
        seen=";".join(f"{kind}:{amount}" for kind, amount in known.came_back.items()),
        is_unknown=not known.came_back,
        sums=tuple(balance_in_words(known)),
        takings=tuple(takings_in_words(known)),
        troubles=troubles,
    )


def _taken(lines: Sequence[KnownLine]) -> str:
    """$590.00; $590.00–612.50; of 10 of 12 items, where some are not known."""
    known = [found for found in (line.takings for line in lines) if found is not None]
    if not known:
        return ""
    low, high = sum(found.low for found in known), sum(found.high for found in known)
    money = money_in_words(low) if low == high else f"{money_in_words(low)}–{money_in_words(high)}"
    if len(known) == len(lines):
        return money
    return _("%(money)s from %(known)d of %(all)d items") % {"money": money, "known": len(known), "all": len(lines)}
