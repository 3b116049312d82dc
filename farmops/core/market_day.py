"""What one line of a market day says: sold, left, unaccounted, how long the table was empty, what was taken.

Three states are kept apart: unknown (None), none (0), so much. Nothing is forced to fit: what does not add up is shown.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


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
