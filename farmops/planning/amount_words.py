"""Amounts with their unit, in words."""

from decimal import Decimal

from farmops.core.quantities import is_mass, rounded
from farmops.farm.unit_words import unit_of_many


def amount_in_words(amount: Decimal, unit: str, digits: int = 1) -> str:
    """40 lb, 55.6 lb, 90 heads; weights to a tenth, unless more digits are asked for."""
    shown = rounded(amount, digits if is_mass(unit) or amount != int(amount) else 0)
    plain = f"{shown.normalize():f}" if shown else "0"
    return f"{plain} {unit_of_many(unit) if amount != 1 else unit}"
