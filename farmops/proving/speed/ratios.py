"""Figures of one run as ratios: medians over each other, how far they spread, and whether they keep to their limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median, quantiles

BLOCKS = 5  # of rounds, each with a least of its own


@dataclass(frozen=True, slots=True)
class Row:
    """One figure.

    Attributes
    ----------
    name : str
        What was measured: its group, a colon, which one.
    ratio : float
        `measured` over `against`.
    spread : float or None
        Between the quarters of the ratios of single rounds; None for what is counted.
    limit : float or None
        None: only told, held to nothing.
    measured, against : float
        In `unit`.
    limit_from : str
        What the limit follows from, where this run has reckoned it; else empty.
    """

    name: str
    ratio: float
    spread: float | None
    limit: float | None
    ok: bool
    measured: float
    against: float
    unit: str
    limit_from: str = ""


def timed(
    name: str,
    above: Sequence[float],
    below: Sequence[float],
    limit: float | None,
    *,
    also: bool = True,
    limit_from: str = "",
) -> Row:
    """Rounds of the one and of the other, taken in turn: the ratio of the medians; `also` is what else has to hold. [s]

    Raises
    ------
    ValueError
        If there are no rounds, or not as many of the one as of the other.
    """
    if not above or len(above) != len(below):
        raise ValueError(f"{name} needs as many rounds of both, got {len(above)} and {len(below)}")
    measured, against = median(above), median(below)
    if against <= 0:
        raise ValueError(f"{name} was measured against nothing ({against} s)")
    ratio = measured / against
    ok = also and (limit is None or ratio <= limit)
    return Row(name, ratio, between_quarters(above, below), limit, ok, measured, against, "s", limit_from)


def quietest(name: str, above: Sequence[float], less: Sequence[float], below: Sequence[float], limit: float) -> Row:
    """Of waits for a disk, which others only ever lengthen: the least of each count, `less` taken off `above`. [s]

    Raises
    ------
    ValueError
        If there are fewer rounds than blocks, which tell how far the ratio spreads.
    """
    if len(above) < BLOCKS:
        raise ValueError(f"{name} needs {BLOCKS} rounds or more, got {len(above)}")
    measured, against = min(above) - min(less), min(below)
    ratio = max(measured, 0.0) / against
    blocks = [range(start, len(above), BLOCKS) for start in range(BLOCKS)]
    of_blocks = [
        (min(above[at] for at in block) - min(less[at] for at in block)) / min(below[at] for at in block)
        for block in blocks
    ]
    spread = between_quarters(of_blocks, [1.0] * BLOCKS)
    return Row(name, ratio, spread, limit, ratio <= limit, max(measured, 0.0), against, "s")


def counted(name: str, measured: float, against: float, limit: float | None, *, unit: str, also: bool = True) -> Row:
    """A count held against a number of its own; `also` is whatever else has to hold."""
    ratio = measured / against
    return Row(name, ratio, None, limit, also and (limit is None or ratio <= limit), measured, against, unit)


def between_quarters(above: Sequence[float], below: Sequence[float]) -> float:
    """How far the ratios of single rounds lie apart, without the outer half; 0 for a single round."""
    ratios = [one / other for one, other in zip(above, below, strict=True)]
    if len(ratios) < 2:
        return 0.0
    lower, _middle, upper = quantiles(ratios, n=4, method="inclusive")
    return upper - lower
