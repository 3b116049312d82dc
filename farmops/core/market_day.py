"""What one line of a market day says: sold, left, unaccounted, how long the table was empty, what was taken.

Three states are kept apart: unknown (None), none (0), so much. Nothing is forced to fit: what does not add up is shown.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

BACK_SOMETIME = -1  # the table was filled again at a time nobody noted


@dataclass(frozen=True, slots=True)
class Line:
    """What is known of one item on one market day; counts in whole steps.

    Attributes
    ----------
    opens, closes : int
        [min after midnight]
    brought : int or None
        Fresh, restocked part included.
    carried_in : int
        Left from an earlier market.
    left : tuple of int
        Each kind of what came back: taken home, given away, compost; () is unknown, (0,) is none.
    tallied : tuple of int
        Sales as each seller counted them; () is none counted.
    empty : tuple of (int or None, int or None)
        Spells of an empty table: from when to when it was back; None is "time not known" and "never back".
    """

    opens: int
    closes: int
    brought: int | None = None
    carried_in: int = 0
    left: tuple[int, ...] = ()
    tallied: tuple[int, ...] = ()
    empty: tuple[tuple[int | None, int | None], ...] = ()


@dataclass(frozen=True, slots=True)
class Balance:
    """What adds up and what does not.

    Attributes
    ----------
    on_table : int or None
        Brought and carried in.
    sold_by_count : int or None
        What was on the table and did not come back; holds what is unaccounted, which stands beside it.
    sold_by_tally : int or None
        As the sellers counted. Both are kept; neither is bent to the other.
    not_tallied : int or None
        Sold by what is left, less sold as counted. Above 0: sales nobody counted.
    unaccounted : int or None
        On the table, less sold as counted, less all that came back. Above 0: gone without a note.
    share_sold : Fraction or None
        Of what was on the table, by count where what came back is known.
    out_minutes : int or None
        How long the table was empty; None where a time is not known.
    is_floor : bool
        It ran out, so sold is "at least", not what was wanted.
    """

    on_table: int | None
    sold_by_count: int | None
    sold_by_tally: int | None
    not_tallied: int | None
    unaccounted: int | None
    share_sold: Fraction | None
    out_minutes: int | None
    is_floor: bool


def balance(line: Line) -> Balance:
    """Hold brought against sold and what came back.

    Raises
    ------
    ValueError
        If a count is below 0, the market closes before it opens, or a table is back before it was empty.
    """
    _check(line)
    on_table = None if line.brought is None else line.brought + line.carried_in
    left = sum(line.left) if line.left else None
    tally = sum(line.tallied) if line.tallied else None
    ran_out = bool(line.empty) and line.empty[-1][1] is None
    by_count = None
    if on_table is not None and (left is not None or ran_out):
        by_count = on_table - (left or 0)
    sold = tally if by_count is None else by_count
    return Balance(
        on_table=on_table,
        sold_by_count=by_count,
        sold_by_tally=tally,
        not_tallied=None if by_count is None or tally is None else by_count - tally,
        unaccounted=None if on_table is None or tally is None or left is None else on_table - tally - left,
        share_sold=Fraction(sold, on_table) if sold is not None and on_table else None,
        out_minutes=_out(line),
        is_floor=bool(line.empty),
    )


def even_rate_guess(line: Line) -> Fraction | None:
    """Customers of a whole day if they came evenly: an upper guess, for mornings are busier; never the estimate used.

    Returns
    -------
    Fraction or None
        None where nothing is known to be sold, or a time is not known: what sold is then a floor and no more.
    """
    found = balance(line)
    sold = found.sold_by_tally if found.sold_by_count is None else found.sold_by_count
    if sold is None or found.out_minutes is None:
        return None
    on_sale = line.closes - line.opens - found.out_minutes
    return Fraction(sold * (line.closes - line.opens), on_sale) if on_sale > 0 else None


@dataclass(frozen=True, slots=True)
class PriceSpell:
    """So many sold at one price: `price_cents` for `price_for` of them ("2 for 5")."""

    sold: int
    price_cents: int
    price_for: int = 1


def takings_cents(spells: Sequence[PriceSpell]) -> int:
    """What was taken: each spell rounded half up to a cent, then added. [cents]"""
    return sum(_half_up(Fraction(spell.sold * spell.price_cents, spell.price_for)) for spell in spells)


def mean_price_cents(spells: Sequence[PriceSpell]) -> int | None:
    """Taken by sold, half up; None where nothing was sold. [cents]"""
    sold = sum(spell.sold for spell in spells)
    return _half_up(Fraction(takings_cents(spells), sold)) if sold else None


def odd_counts(spells: Sequence[PriceSpell]) -> list[int]:
    """Which spells sold a number that their price does not go into (15 at "2 for 5"): worth asking about."""
    return [number for number, spell in enumerate(spells) if spell.sold % spell.price_for]


@dataclass(frozen=True, slots=True)
class PriceFrom:
    """A price from one minute on: `cents` for `count` units; minute None is from the opening on."""

    minute: int | None
    cents: int
    count: int = 1


@dataclass(frozen=True, slots=True)
class Counted:
    """So many sold, as one seller counted them; with a minute: up to then."""

    amount: int
    minute: int | None = None


@dataclass(frozen=True, slots=True)
class Takings:
    """What one line took.

    Attributes
    ----------
    low, high : int
        Equal where it is known which were sold at which price. [cents]
    low_spells : tuple of PriceSpell
        What `low` adds up from.
    """

    low: int
    high: int
    low_spells: tuple[PriceSpell, ...]


def takings_by_price(
    sold: int, counted: Sequence[Counted], prices: Sequence[PriceFrom], per_unit: int = 1
) -> Takings | None:
    """What a line took at the prices of its day.

    Parameters
    ----------
    sold : int, >= 0
        In all. What nobody counted was sold after the last count that has a minute.
    counted : sequence of Counted
        One with a minute was sold at the price that held until then; one without, as what nobody counted.
    prices : sequence of PriceFrom
        The opening's among them.
    per_unit : int, > 0
        Stored amount of one priced unit: 1 of what is counted, the nanograms of a pound.

    Returns
    -------
    Takings or None
        None without a price.
    """
    ordered = sorted(prices, key=_begins)
    if not ordered:
        return None
    timed = [one for one in counted if one.minute is not None]
    spells = [_spell(one.amount, _held_before(ordered, one.minute), per_unit) for one in timed]
    last = max((one.minute for one in timed if one.minute is not None), default=-1)
    rest = max(sold, sum(one.amount for one in counted)) - sum(one.amount for one in timed)
    begun = [price for price in ordered if _begins(price) <= last]
    possible = [*(begun[-1:] or ordered[:1]), *(price for price in ordered if _begins(price) > last)]
    ends = [[*spells, *([_spell(rest, price, per_unit)] if rest else [])] for price in possible]
    low = min(ends, key=takings_cents)
    return Takings(takings_cents(low), max(takings_cents(one) for one in ends), tuple(low))


def empty_spells(events: Sequence[tuple[bool, int | None]]) -> tuple[tuple[int | None, int | None], ...]:
    """Spells of an empty table, from what was said of it.

    Parameters
    ----------
    events : sequence of (bool, int or None)
        In the order in which they were said: whether it ran out (else something lies there again), and the minute. One
        without a minute keeps its place behind what was said before it.
    """
    placed, latest = [], -1
    for number, (is_out, minute) in enumerate(events):
        latest = max(latest, -1 if minute is None else minute)
        placed.append((latest if minute is None else minute, number, is_out, minute))
    spells: list[tuple[int | None, int | None]] = []
    is_empty = False
    for _at, _number, is_out, minute in sorted(placed, key=lambda one: one[:2]):
        if is_out and not is_empty:
            spells.append((minute, None))
        elif not is_out and is_empty:
            # Back at a time nobody noted: then how long it was empty is not known either.
            spells[-1] = (None, BACK_SOMETIME) if minute is None else (spells[-1][0], minute)
        is_empty = is_out
    return tuple(spells)


def mean_over_days_offered(days: Sequence[tuple[int | None, int | None]]) -> Fraction | None:
    """Mean sold over days with something on the table; (offered, sold) of each.

    A day without the item says nothing of what customers wanted, nor does one whose sales are unknown.
    """
    sold = [amount for offered, amount in days if offered and amount is not None]
    return Fraction(sum(sold), len(sold)) if sold else None


def _begins(price: PriceFrom) -> int:
    return -1 if price.minute is None else price.minute


def _spell(amount: int, price: PriceFrom, per_unit: int) -> PriceSpell:
    return PriceSpell(amount, price.cents, price.count * per_unit)


def _held_before(prices: Sequence[PriceFrom], minute: int | None) -> PriceFrom:
    earlier = [price for price in prices if minute is None or _begins(price) < minute]
    return earlier[-1] if earlier else prices[0]


def _half_up(value: Fraction) -> int:
    return int(value + Fraction(1, 2))


def _out(line: Line) -> int | None:
    minutes = 0
    for since, back in line.empty:
        if since is None:
            return None
        minutes += (line.closes if back is None else back) - since
    return minutes


def _check(line: Line) -> None:
    if line.closes <= line.opens:
        raise ValueError(f"a market closes after it opens, got {line.opens} to {line.closes}")
    if min(line.brought or 0, line.carried_in, *line.left, *line.tallied) < 0:
        raise ValueError(f"counts must be 0 or more, got {line}")
    for since, back in line.empty:
        if since is not None and back is not None and back < since:
            raise ValueError(f"a table is back after it was empty, got {since} to {back}")
