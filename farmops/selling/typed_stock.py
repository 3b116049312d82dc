"""Amounts of what is sold: read as typed into whole stored amounts, and back into figures to read."""

from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import NG, cents, from_nanograms, is_mass, read_amount, rounded, unit_name
from farmops.farm.typed_amount import amount_of, whole_of
from farmops.journal.refusal import Refused


def stored_amount(
    typed: str,
    unit: str,
    *,
    field: str,
    yes: frozenset[str] = frozenset(),
    may_be_zero: bool = False,
    usual: int | None = None,
) -> int:
    """What was typed as it is stored: nanograms where the unit is one of mass, else a whole count.

    Twenty times the `usual`, as stored, is asked about.

    Raises
    ------
    Refused, NeedsYes
        As `amount_of`; also where another unit was typed, or a count is not whole.
    """
    told = read_amount(typed).unit or unit_name(unit)
    if is_mass(unit) and is_mass(told):
        often = from_nanograms(usual, told) if usual else None
        amount = amount_of(typed, field=field, usual=often, yes=yes, may_be_zero=may_be_zero).amount or Decimal(0)
        return int(rounded(amount * NG[told], 0))
    if told != unit_name(unit):
        words = {"typed": typed.strip(), "unit": unit_name(unit)}
        raise Refused(_("“%(typed)s”: this is counted in %(unit)s.") % words, field=field)
    if usual:
        amount_of(typed, field=field, usual=Decimal(usual), yes=yes, may_be_zero=may_be_zero)
    return whole_of(typed, field=field, yes=yes, may_be_zero=may_be_zero)


def stored_cents(typed: str, *, field: str, yes: frozenset[str] = frozenset()) -> int:
    """Money as typed, $ before or behind it.

    Raises
    ------
    Refused, NeedsYes
        As `amount_of`; also where it is finer than a cent.
    """
    reading = amount_of(typed.replace("$", " "), field=field, yes=yes)
    money = reading.amount or Decimal(0)
    if reading.unit or money * 100 != int(money * 100):
        raise Refused(_("“%(typed)s” is no price in whole cents.") % {"typed": typed.strip()}, field=field)
    return cents(money)


def in_figures(stored: int, unit: str) -> str:
    """48; 12.5 (pounds): the figure without its unit, a weight to three places."""
    if not is_mass(unit):
        return str(stored)
    plain = rounded(from_nanograms(stored, unit), 3).normalize()
    return f"{plain:f}"


def with_unit(stored: int, unit: str) -> str:
    """48; 12.5 lb: what is counted needs no unit beside the item's name."""
    return f"{in_figures(stored, unit)} {unit_name(unit)}" if is_mass(unit) else in_figures(stored, unit)


def per_unit(unit: str) -> int:
    """Stored amount of one priced unit: 1 of what is counted, the nanograms of a pound."""
    return NG[unit_name(unit)] if is_mass(unit) else 1


def money_in_words(amount_cents: int) -> str:
    """$3.50; $4 for whole ones is left to people: money always shows its cents."""
    return f"${amount_cents // 100:,}.{amount_cents % 100:02d}"
