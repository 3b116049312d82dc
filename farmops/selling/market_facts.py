"""What is known of a market day: each line with its facts, its table, its balance and what it took."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from django.utils.translation import gettext as _

from farmops.core.market_day import (
    Balance,
    Counted,
    Line,
    PriceFrom,
    Takings,
    balance,
    empty_spells,
    even_rate_guess,
    takings_by_price,
)
from farmops.growing.natural_order import natural_key
from farmops.journal.models import Job
from farmops.selling.models import MarketDay, MarketFact, MarketLine
from farmops.selling.typed_stock import per_unit

Kind = MarketFact.Kind
LEFTOVER = (Kind.HOME, Kind.DONATED, Kind.COMPOST, Kind.LEFT)
EVENTS = {Kind.SOLD_OUT: True, Kind.BACK: False, Kind.RESTOCKED: False}
LOADED = (Kind.BROUGHT, Kind.CARRIED_IN)


@dataclass(frozen=True)
class KnownLine:
    """One item of one market day and everything that was said of it, in the order in which it was said.

    What is reckoned from the facts is reckoned once: a page asks for it over and over.

    Attributes
    ----------
    line : MarketLine
        With its item.
    opens, closes : int
        The market's hours; `closes` is when the stall was left, where that was earlier. [min after midnight]
    facts : tuple of MarketFact
        Live ones, with their entries.
    """

    line: MarketLine
    opens: int
    closes: int
    facts: tuple[MarketFact, ...] = field(default=())

    def of(self, *kinds: str) -> list[MarketFact]:
        return [fact for fact in self.facts if fact.kind in kinds]

    def amount(self, *kinds: str) -> int | None:
        """Sum of what was said; None where nothing was."""
        found = self.of(*kinds)
        return sum(fact.amount or 0 for fact in found) if found else None

    @property
    def loaded(self) -> int | None:
        """What went to the market, fresh and left from an earlier one."""
        return self.amount(*LOADED)

    @property
    def besides(self) -> int:
        """What was brought later than the load, as it was put on the table; `loaded` holds it."""
        return sum(fact.amount or 0 for fact in self.of(Kind.RESTOCKED) if self.is_besides(fact))

    def is_besides(self, restock: MarketFact) -> bool:
        """Whether a restock was brought besides what was loaded."""
        brought = {fact.entry_id for fact in self.of(*LOADED) if fact.entry.job == Job.STALL}
        return restock.entry_id in brought

    @cached_property
    def came_back(self) -> Mapping[str, int]:
        """How much came back, by where it went; empty: nothing was said. None is {"left": 0}, whatever word said it."""
        return plainly([(fact.kind, fact.amount or 0) for fact in self.of(*LEFTOVER)])

    @cached_property
    def empty(self) -> tuple[tuple[int | None, int | None], ...]:
        """Spells of an empty table, kept within the market's hours."""
        events = [(EVENTS[Kind(fact.kind)], fact.minute) for fact in self.of(*EVENTS)]
        return tuple((self._within(since), self._within(back)) for since, back in empty_spells(events))

    def _within(self, minute: int | None) -> int | None:
        return minute if minute is None or minute < 0 else min(max(minute, self.opens), self.closes)

    @property
    def out_at(self) -> list[int | None]:
        """Each time it ran out, as noted; a restock does not take the first away. None: time not known."""
        return [fact.minute for fact in self.of(Kind.SOLD_OUT)]

    @property
    def is_empty(self) -> bool:
        """The last thing known of its table is that nothing lay on it."""
        return bool(self.empty) and self.empty[-1][1] is None

    @cached_property
    def sums(self) -> Line:
        left = self.came_back
        return Line(
            opens=self.opens,
            closes=self.closes,
            brought=self.amount(Kind.BROUGHT),
            carried_in=self.amount(Kind.CARRIED_IN) or 0,
            left=tuple(left.values()),
            tallied=tuple(fact.amount or 0 for fact in self.of(Kind.TALLIED)),
            empty=self.empty,
        )

    @cached_property
    def balance(self) -> Balance:
        return balance(self.sums)

    @property
    def sold(self) -> int | None:
        """By what was brought and came back; where that is not known, as the sellers counted."""
        found = self.balance
        return found.sold_by_tally if found.sold_by_count is None else found.sold_by_count

    @property
    def is_at_least(self) -> bool:
        """Customers may have wanted more: it ran out, or nothing came back of what was brought."""
        found = self.balance
        return found.is_floor or (sum(self.came_back.values()) == 0 and bool(self.came_back) and bool(found.on_table))

    @property
    def even_rate(self) -> Fraction | None:
        """Sold, stretched to the whole day by even customers: an upper guess. None where a time is not known."""
        return None if self.is_at_least and not self.empty else even_rate_guess(self.sums)

    @property
    def prices(self) -> list[PriceFrom]:
        opening = [] if self.line.price_cents is None else [PriceFrom(None, self.line.price_cents)]
        later = [PriceFrom(fact.minute, fact.price_cents or 0, fact.price_for or 1) for fact in self.of(Kind.PRICE)]
        return [*opening, *later]

    @property
    def takings(self) -> Takings | None:
        """None without a price or where nothing is known to be sold."""
        if self.sold is None:
            return None
        counted = [Counted(fact.amount or 0, fact.minute) for fact in self.of(Kind.TALLIED)]
        return takings_by_price(self.sold, counted, self.prices, per_unit(self.line.unit))

    @property
    def mean_price_cents(self) -> int | None:
        """Taken for one unit; None where the takings are not known exactly."""
        found = self.takings
        if found is None or found.low != found.high:
            return None
        sold = sum(spell.sold for spell in found.low_spells)
        return int(Fraction(found.low * per_unit(self.line.unit), sold) + Fraction(1, 2)) if sold else None

    @property
    def is_from_memory(self) -> bool:
        return any(fact.entry.is_from_memory for fact in self.facts)


def known_lines(day: MarketDay, *, only: Iterable[int] | None = None) -> list[KnownLine]:
    """The lines of a day in natural order of their items. Two queries."""
    lines = day.lines.filter(entry__corrected_by=None).select_related("item", "entry")
    if only is not None:
        lines = lines.filter(pk__in=list(only))
    said: dict[int, list[MarketFact]] = {}
    facts = MarketFact.objects.live().filter(line__market_day=day).select_related("entry").order_by("pk")
    for fact in facts:
        said.setdefault(fact.line_id, []).append(fact)
    return [
        known_line(day, line, said.get(line.pk, []))
        for line in sorted(lines, key=lambda line: natural_key(line.item.name))
    ]


def known_line(day: MarketDay, line: MarketLine, facts: Sequence[MarketFact]) -> KnownLine:
    closes = day.closes_minute
    if day.left_minute is not None:
        closes = max(min(day.left_minute, closes), day.opens_minute + 1)
    return KnownLine(line, day.opens_minute, closes, tuple(facts))


def facts_of(line: MarketLine) -> KnownLine:
    """One line alone, its `market_day` and `item` loaded. One query."""
    facts = MarketFact.objects.live().filter(line=line).select_related("entry").order_by("pk")
    return known_line(line.market_day, line, list(facts))


def takes_place(day: MarketDay, lines: Iterable[KnownLine]) -> bool:
    """Whether it was held: noted so, or something was said at the stall or in the evening."""
    if day.status == MarketDay.Status.CALLED_OFF:
        return False
    return day.status == MarketDay.Status.TOOK_PLACE or any(
        fact.kind not in LOADED for line in lines for fact in line.facts
    )


def plainly(amounts: Iterable[tuple[str, int]]) -> dict[str, int]:
    """Amounts by place as they are held against each other: nought is said once, for all of it."""
    found: dict[str, int] = {}
    said = False
    for kind, amount in amounts:
        said = True
        if amount:
            found[str(kind)] = found.get(str(kind), 0) + amount
    return found or ({Kind.LEFT.value: 0} if said else {})


def place_in_words(kind: str) -> str:
    """Where a leftover went; that nobody noted where is said shortly."""
    return _("came back") if kind == Kind.LEFT else str(Kind(kind).label)
