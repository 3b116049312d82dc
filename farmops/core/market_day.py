"""One item on one market day: what was sold, what came back, when the table was empty, what it took.

Three states of what came back are kept apart: unknown (None), none (0), so much. Nothing is forced to balance.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from farmops.core.quantities import cents


class Event(StrEnum):
    """What changes whether something lies on the table."""

    OUT = "out"
    BACK = "back"  # more was found, or somebody pressed too soon
    RESTOCKED = "restocked"


@dataclass(frozen=True, slots=True)
class TableEvent:
    """One event at the stall.

    Attributes
    ----------
    event : Event
    minute : int or None
        Minutes after midnight; None where nobody looked at the clock. [min]
    """

    event: Event
    minute: int | None = None


@dataclass(frozen=True, slots=True)
class Tally:
    """So many sold, as counted by one seller; with a minute, those sold up to then at the price before.

    Attributes
    ----------
    amount : int, >= 0
    minute : int or None
        [min]
    """

    amount: int
    minute: int | None = None


@dataclass(frozen=True, slots=True)
class PriceFrom:
    """A price from one minute on: `cents` for `count` units, 500 for 2.

    Attributes
    ----------
    minute : int or None
        None is from the opening on. [min]
    cents : int, >= 0
        [cent]
    count : int, > 0
    """

    minute: int | None
    cents: int
    count: int = 1


@dataclass(frozen=True, slots=True)
class LineRecord:
    """All that is known of one item on one market day; amounts are whole and of one unit.

    Attributes
    ----------
    opens, closes : int
        When customers came and were gone; `closes` is when the stall was left, if that was earlier. [min]
    brought : int or None
        Fresh, what waited in the van included; None where nobody wrote it down.
    carried_in : int
        Left from an earlier market.
    events : sequence of TableEvent
        In the order in which they were said.
    tallies : sequence of Tally
    came_back : mapping of str to int
        Each kind of leftover that was said; empty where nothing was said.
    """

    opens: int
    closes: int
    brought: int | None
    carried_in: int = 0
    events: Sequence[TableEvent] = ()
    tallies: Sequence[Tally] = ()
    came_back: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Balance:
    """brought + carried in = sold + each leftover + unaccounted, as far as it is known.

    Attributes
    ----------
    offered : int or None
        Brought and carried in.
    came_back : int or None
        None: unknown. 0: none.
    by_count : int or None
        Sold by what was brought and came back; also where the table was empty at the end and nothing was said.
    by_tally : int or None
    sold : int or None
        The tally where there is one, else the count; never raised to make the sum come out.
    unaccounted : int or None
        Of what was offered, neither tallied nor come back; below 0 where more was tallied than there was.
    is_floor : bool
        It was sold out at some time: customers may have wanted more than `sold`.
    out_minutes : int or None
        How long the table was empty while the market was open; None where a time is not known. [min]
    out_at : tuple of (int or None)
        Each time it ran out; None = time not known. The first survives a restock. [min]
    is_empty : bool
        The last thing known of the table is that nothing lay on it.
    """

    offered: int | None
    came_back: int | None
    by_count: int | None
    by_tally: int | None
    sold: int | None
    unaccounted: int | None
    is_floor: bool
    out_minutes: int | None
    out_at: tuple[int | None, ...]
    is_empty: bool


def balance_of(line: LineRecord) -> Balance:
    """What one line adds up to.

    Notes
    -----
    Nothing is said of the time between a closing of unknown length and the next event; then `out_minutes` is None.
    """
    events = in_order(line.events)
    is_empty = bool(events) and events[-1].event is Event.OUT
    out_at = tuple(event.minute for event in events if event.event is Event.OUT)
    offered = None if line.brought is None else line.brought + line.carried_in
    came_back = sum(line.came_back.values()) if line.came_back else None
    by_tally = sum(tally.amount for tally in line.tallies) if line.tallies else None
    known_back = 0 if came_back is None and is_empty else came_back
    by_count = None if offered is None or known_back is None else offered - known_back
    ran_out = bool(out_at) or (came_back == 0 and bool(offered))
    return Balance(
        offered=offered,
        came_back=came_back,
        by_count=by_count,
        by_tally=by_tally,
        sold=by_count if by_tally is None else by_tally,
        unaccounted=None if by_count is None or by_tally is None else by_count - by_tally,
        is_floor=ran_out,
        out_minutes=_minutes_out(events, line.opens, line.closes, unsaid=ran_out and not out_at),
        out_at=out_at,
        is_empty=is_empty,
    )


def in_order(events: Sequence[TableEvent]) -> list[TableEvent]:
    """Events by their minute; one without keeps its place behind what was said before it."""
    placed, latest = [], -1
    for number, event in enumerate(events):
        at = latest if event.minute is None else event.minute
        latest = max(latest, at)
        placed.append((at, number, event))
    return [event for _, _, event in sorted(placed, key=lambda one: one[:2])]


def _minutes_out(events: Sequence[TableEvent], opens: int, closes: int, *, unsaid: bool) -> int | None:
    total, since = 0, None
    for event in events:
        if event.minute is None:
            return None
        if event.event is Event.OUT:
            since = event.minute if since is None else since
        elif since is not None:
            total += _within(since, event.minute, opens, closes)
            since = None
    if since is not None:
        total += _within(since, closes, opens, closes)
    return None if unsaid else total


def _within(start: int, end: int, opens: int, closes: int) -> int:
    return max(0, min(end, closes) - max(start, opens))


def sell_through(balance: Balance) -> Decimal | None:
    """Sold as a share of what was offered, 0 to 1; None where either is unknown or nothing was offered. [-]"""
    if balance.sold is None or not balance.offered:
        return None
    return Decimal(balance.sold) / balance.offered


def even_rate_stretch(sold: int, open_minutes: int, out_minutes: int) -> Decimal:
    """What would have been sold had the table never been empty and had customers come evenly.

    Parameters
    ----------
    sold : int, >= 0
    open_minutes, out_minutes : int, 0 <= out_minutes < open_minutes
        [min]

    Notes
    -----
    An upper guess, since mornings are busier: shown beside a figure to explain it, never planned from.

    Raises
    ------
    ValueError
        If it was never on the table while the market was open.
    """
    if not 0 <= out_minutes < open_minutes:
        raise ValueError(f"out {out_minutes} of {open_minutes} minutes leaves no time on the table")
    return Decimal(sold) * open_minutes / (open_minutes - out_minutes)


def mean_sold(days: Iterable[tuple[int | None, int | None]]) -> Decimal | None:
    """Mean sold over the days on which something was offered.

    Parameters
    ----------
    days : iterable of (offered, sold)
        A day without the item says nothing of what customers wanted, nor does one whose sales are unknown.
    """
    sold = [amount for offered, amount in days if offered and amount is not None]
    return Decimal(sum(sold)) / len(sold) if sold else None


@dataclass(frozen=True, slots=True)
class Takings:
    """What one line took.

    Attributes
    ----------
    low, high : int
        Equal where it is known which were sold at which price. [cent]
    sold : int
    odd : tuple of (int, PriceFrom)
        Tallies that do not go into whole packs of their price: 15 at "2 for 5".
    """

    low: int
    high: int
    sold: int
    odd: tuple[tuple[int, PriceFrom], ...] = ()


def takings_of(tallies: Sequence[Tally], sold: int, prices: Sequence[PriceFrom], per_unit: int = 1) -> Takings | None:
    """What was taken for a line by the prices of its day.

    Parameters
    ----------
    tallies : sequence of Tally
        A tally with a minute was sold at the price that held until then; one without, at the last price.
    sold : int, >= 0
        Sold in all. What no tally covers was sold at one of the day's prices: a range, not a figure.
    prices : sequence of PriceFrom
        In order of time, the opening's first.
    per_unit : int, > 0
        Stored amount of one priced unit: 1 for counts, nanograms of a pound for pounds.

    Returns
    -------
    Takings or None
        None without a price. Each tally is rounded to whole cents, half up; then added.
    """
    if not prices:
        return None
    ordered = sorted(prices, key=lambda price: -1 if price.minute is None else price.minute)
    total, odd = 0, []
    for tally in tallies:
        price = _held_until(ordered, tally.minute)
        total += _cents(tally.amount, price, per_unit)
        if tally.amount % (price.count * per_unit) and price.count > 1:
            odd.append((tally.amount, price))
    rest = max(0, sold - sum(tally.amount for tally in tallies))
    each = [_cents(rest, price, per_unit) for price in ordered]
    return Takings(total + min(each), total + max(each), sold, tuple(odd))


def mean_price(takings: Takings, per_unit: int = 1) -> Decimal | None:
    """Taken for one unit, on the mean; None where the takings are a range or nothing was sold. [cent]"""
    if takings.low != takings.high or not takings.sold:
        return None
    return Decimal(takings.low) * per_unit / takings.sold


def _held_until(prices: Sequence[PriceFrom], minute: int | None) -> PriceFrom:
    if minute is None:
        return prices[-1]
    earlier = [price for price in prices if price.minute is None or price.minute < minute]
    return earlier[-1] if earlier else prices[0]


def _cents(amount: int, price: PriceFrom, per_unit: int) -> int:
    return cents(Decimal(amount) * price.cents / (price.count * per_unit) / 100)
