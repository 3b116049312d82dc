"""Whole numbers as they are stored, as the amounts, money and shares that planning reckons with."""

import hashlib
from decimal import Decimal

from farmops.core.calendar import MonthDay
from farmops.core.quantities import from_nanograms, is_mass
from farmops.journal.models import Entry, Source

LONGEST_KEY = 60


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


def key_of(entry: Entry) -> str:
    """What tells a row from others that are alike: the key it had in its sheet, else the once-only key of its entry."""
    return key_from(entry.source, entry.once_key)


def key_from(source: str, once_key: str) -> str:
    """As `key_of`, of an entry's columns."""
    if source == Source.SHEET and ":" in once_key:
        return once_key.partition(":")[2]
    if len(once_key) <= LONGEST_KEY:
        return once_key
    return hashlib.sha256(once_key.encode()).hexdigest()[:32]


def grams_of(mass_ng: int | None) -> Decimal | None:
    """Exact: a nanogram is nine places behind the point."""
    return None if mass_ng is None else amount_of(mass_ng, "g")
