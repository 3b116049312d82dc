"""How many plants a want comes to, and how many trays: losses divide, buffers multiply, rounded up once, at the end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Trays:
    """Plants sown in trays: `plants` of `cells` cells are filled; sowing every cell would be a choice of its own."""

    plants: int
    trays: int
    cells: int
    last_tray: int  # plants in the last tray, which may be partly filled


def _exact(number: float) -> Fraction:
    """The decimal a person typed, not its binary neighbour: 0.95 x 0.92 must not push a whole number over the edge."""
    return Fraction(str(number))


def surviving(shares: Sequence[float]) -> float:
    """Share of plants that live through all stages: the product of the shares that live through each.

    Parameters
    ----------
    shares : (stages,) float in (0, 1]
        Germination, survival of each stage, marketable share. [-]

    Raises
    ------
    ValueError
        If a share is outside (0, 1].
    """
    return float(_surviving(shares))


def _surviving(shares: Sequence[float]) -> Fraction:
    product = Fraction(1)
    for share in shares:
        if not 0 < share <= 1:
            raise ValueError(f"a share that survives must be over 0 and at most 1, got {share}")
        product *= _exact(share)
    return product


def plants_needed(
    wanted: float, coming: float = 0.0, *, per_plant: float = 1.0, shares: Sequence[float] = (), buffer: float = 0.0
) -> int:
    """Plants to sow so that, on average, the want is met.

    Parameters
    ----------
    wanted, coming : float, >= 0
        Wanted, and already on its way, in the unit that is sold. [sold units]
    per_plant : float, > 0
        What one living plant gives. [sold units plant⁻¹]
    shares : (stages,) float in (0, 1]
        What lives through each stage; a loss of 25 % is a share of 0.75. They divide. [-]
    buffer : float, >= 0
        Sown on top because the grower says so; it multiplies and is no loss: 0.2 for 20 % more. [-]

    Returns
    -------
    int
        Rounded up once, at the end. [plants]

    Raises
    ------
    ValueError
        If an argument is out of its range.
    """
    if not (0 <= wanted < math.inf and 0 <= coming < math.inf and 0 < per_plant < math.inf and 0 <= buffer < math.inf):
        raise ValueError(
            f"wanted, coming and buffer must be 0 or more, per_plant over 0: {wanted}, {coming}, {buffer}, {per_plant}"
        )
    short = max(Fraction(0), _exact(wanted) - _exact(coming))
    return math.ceil(short * (1 + _exact(buffer)) / _exact(per_plant) / _surviving(shares))


def expected_packed(plants: int, *, per_plant: float = 1.0, shares: Sequence[float] = ()) -> float:
    """What is packed of so many plants on average, arguments as for `plants_needed`. [sold units]"""
    return float(plants * _exact(per_plant) * _surviving(shares))


def steady_first_cut(wanted: float, cuttings: Sequence[float]) -> float:
    """What the first cut of each sowing must give where sowings follow each other evenly and are cut several times.

    Parameters
    ----------
    wanted : float, >= 0
        For each interval between sowings. [sold units]
    cuttings : (cuttings,) float, >= 0
        What each cutting gives as a share of the first. [-]

    Raises
    ------
    ValueError
        If an argument is out of its range.
    """
    if not 0 <= wanted < math.inf or not cuttings or min(cuttings) < 0 or not sum(cuttings) > 0:
        raise ValueError(f"wanted must be 0 or more and the cuttings give something, got {wanted}, {cuttings}")
    return wanted / sum(cuttings)


def loss_covered(buffer: float) -> float:
    """The loss that an old habit of sowing `buffer` more really covers: 1 - 1/(1 + buffer). [-]

    Raises
    ------
    ValueError
        If the buffer is negative.
    """
    if not 0 <= buffer < math.inf:
        raise ValueError(f"a buffer must be 0 or more, got {buffer}")
    return float(1 - 1 / (1 + _exact(buffer)))


def trays_for(plants: int, cells: int, *, halves: bool = False) -> Trays:
    """Trays for so many plants, the last one filled only as far as needed.

    halves: half trays may be sown, so that the cells offered are counted in half trays.

    Raises
    ------
    ValueError
        If plants are negative or a tray has no cells (or an odd number, where it is to be halved).
    """
    if plants < 0 or cells < 1 or (halves and cells % 2):
        raise ValueError(f"plants must be 0 or more, cells 1 or more (even for half trays): {plants}, {cells}")
    trays = math.ceil(plants / cells)
    step = cells // 2 if halves else cells
    offered = math.ceil(plants / step) * step
    return Trays(plants, trays, offered, plants - (trays - 1) * cells if trays else 0)


def chance_of_at_least(need: int, plants: int, share: float) -> float:
    """Chance that at least `need` of `plants` live when each lives with chance `share`: P(Binomial >= need). [-]

    Raises
    ------
    ValueError
        If counts are negative or the share is outside [0, 1].
    """
    if need < 0 or plants < 0 or not 0 <= share <= 1:
        raise ValueError(f"counts must be 0 or more and the share between 0 and 1, got {need}, {plants}, {share}")
    if need == 0 or (share == 1 and plants >= need):
        return 1.0
    if need > plants or share == 0:
        return 0.0
    odds, lost = math.log(share), math.log1p(-share)
    top = math.lgamma(plants + 1)
    chances = (
        math.exp(top - math.lgamma(k + 1) - math.lgamma(plants - k + 1) + k * odds + (plants - k) * lost)
        for k in range(need, plants + 1)
    )
    return min(1.0, math.fsum(chances))


def plants_for_sure(need: int, share: float, *, sureness: float = 0.9) -> int:
    """Fewest plants of which at least `need` live with the chance `sureness`.

    Parameters
    ----------
    need : int, >= 0
        Living plants wanted. [plants]
    share : float in (0, 1]
        Chance that one plant lives to be sold. Plants are taken to live independently of each other. [-]
    sureness : float in (0, 1)
        [-]

    Returns
    -------
    int
        [plants]

    Raises
    ------
    ValueError
        If an argument is out of its range.
    """
    if need < 0 or not 0 < share <= 1 or not 0 < sureness < 1:
        raise ValueError(f"need 0 or more, share over 0 to 1, sureness inside 0 to 1: {need}, {share}, {sureness}")
    low, high = need, max(1, need)
    while chance_of_at_least(need, high, share) < sureness:
        low, high = high, 2 * high
    while low < high:
        middle = (low + high) // 2
        if chance_of_at_least(need, middle, share) >= sureness:
            high = middle
        else:
            low = middle + 1
    return low
