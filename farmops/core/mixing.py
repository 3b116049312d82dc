"""Mixes by weight: how much a strict mix gives, what is short and what spare, and a change inside allowed limits."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

ZERO = Decimal(0)
CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Part:
    """One variety of a mix: its share, and how far it may go down and up. Shares are 0 to 1."""

    share: Decimal
    at_least: Decimal | None = None
    at_most: Decimal | None = None

    @property
    def least(self) -> Decimal:
        return self.share if self.at_least is None else self.at_least

    @property
    def most(self) -> Decimal:
        return self.share if self.at_most is None else self.at_most


def check_parts(parts: Mapping[str, Part]) -> None:
    """Raise ValueError unless the shares add up to all of it and lie inside their limits."""
    total = sum((part.share for part in parts.values()), ZERO)
    if total != 1:
        raise ValueError(f"shares must add up to 100 %, got {total * 100} %")
    for name, part in parts.items():
        if not ZERO <= part.least <= part.share <= part.most <= 1:
            raise ValueError(f"{name}: the share {part.share} must lie between {part.least} and {part.most}")


def most_of_strict_mix(available: Mapping[str, Decimal], parts: Mapping[str, Part]) -> Decimal:
    """The most of a mix by its exact shares; what lies there beyond it stays over.

    Parameters
    ----------
    available : mapping of variety to Decimal, >= 0
    parts : mapping of variety to Part

    Returns
    -------
    Decimal
        In the unit of `available`.
    """
    check_parts(parts)
    return min(available.get(name, ZERO) / part.share for name, part in parts.items() if part.share > 0)


def against_order(order: Decimal, available: Mapping[str, Decimal], parts: Mapping[str, Part]) -> dict[str, Decimal]:
    """For each variety what is over (above 0) or short (below 0) when so much is mixed by its exact shares."""
    check_parts(parts)
    return {name: available.get(name, ZERO) - order * part.share for name, part in parts.items()}


def changed_mix(
    order: Decimal, available: Mapping[str, Decimal], parts: Mapping[str, Part]
) -> dict[str, Decimal] | None:
    """A mix of exactly the order, inside what there is and every part's limits, as near its shares as can be.

    Returns
    -------
    dict of Decimal or None
        Amounts to the hundredth that add up to the order; None where the limits do not let it be made. It is a
        proposal: what is really mixed is recorded, and allergies and lots are those of what went in.
    """
    check_parts(parts)
    lowest = {name: order * part.least for name, part in parts.items()}
    highest = {
        name: min(order * part.most, available.get(name, ZERO)).quantize(CENT, rounding=ROUND_DOWN)
        for name, part in parts.items()
    }
    if any(highest[name] < lowest[name] for name in parts) or sum(highest.values(), ZERO) < order:
        return None
    amounts = {
        name: min(highest[name], order * part.share).quantize(CENT, rounding=ROUND_DOWN) for name, part in parts.items()
    }
    missing = order - sum(amounts.values(), ZERO)
    spare = {name: highest[name] - amounts[name] for name in parts}
    total_spare = sum(spare.values(), ZERO)
    added = {
        name: (missing * spare[name] / total_spare).quantize(CENT, rounding=ROUND_DOWN) if total_spare else ZERO
        for name in parts
    }
    rest = missing - sum(added.values(), ZERO)
    for name in sorted(parts, key=lambda name: added[name] - spare[name]):  # hundredths to where most is left
        step = min(rest, spare[name] - added[name])
        added[name] += step
        rest -= step
    return {name: amounts[name] + added[name] for name in parts}
