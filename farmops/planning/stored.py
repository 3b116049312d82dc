"""Whole numbers as they are stored, as the amounts, money and shares that planning reckons with."""

from decimal import Decimal

from farmops.core.calendar import MonthDay
from farmops.core.quantities import from_nanograms, is_mass


def amount_of(stored: int, unit: str) -> Decimal:
    """A stored amount in its unit: nanograms where the unit is one of mass, else the count itself."""
    return from_nanograms(stored, unit).normalize() + 0 if is_mass(unit) else Decimal(stored)


def amount_or_none(stored: int | None, unit: str) -> Decimal | None:
    return None if stored is None else amount_of(stored, unit)


def money_of(cents: int) -> Decimal:
    return Decimal(cents) / 100


def money_or_none(cents: int | None) -> Decimal | None:
    return None if cents is None else money_of(cents)


def share_of(percent: Decimal) -> Decimal:
    return percent / 100


def share_or_none(percent: Decimal | None) -> Decimal | None:
    return None if percent is None else share_of(percent)


def month_day_of(text: str) -> MonthDay | None:
    """(9, 11) of 09-11; None of nothing."""
    return (int(text[:2]), int(text[3:])) if text else None
