"""Stored amounts as people read and type them: nanograms in their unit, counts as they are."""

from decimal import Decimal

from farmops.core.quantities import from_nanograms, is_mass, rounded, unit_name
from farmops.farm.unit_words import unit_of_many


def figure(amount: int, unit: str, places: int = 1) -> str:
    """55.6 or 24: the number alone, as it would be typed; weights to a tenth."""
    return plain(rounded(from_nanograms(amount, unit), places) if is_mass(unit) else Decimal(amount))


def plain(amount: Decimal) -> str:
    """1.1, not 1.100 and not 1.1E+3."""
    text = f"{amount:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(amount: int, unit: str, places: int = 1) -> str:
    """55.6 lb, 24 heads, 1 head."""
    name = unit_name(unit)
    return f"{figure(amount, unit, places)} {name if amount == 1 else unit_of_many(name)}"
