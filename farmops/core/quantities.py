"""Amounts: mass in whole nanograms, money in whole cents, and what a person typed, read without guessing.

Every 0.0001 lb and every ounce is a whole number of nanograms, so sums of weights are exact.
"""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

# Exact by definition (NIST SP 811 appendix B, from memory): 1 lb = 0.453 592 37 kg, 1 oz = 1/16 lb.
NG = {"kg": 10**12, "g": 10**9, "lb": 453_592_370_000, "oz": 28_349_523_125}
OTHER_SPELLINGS = {
    "lbs": "lb", "pound": "lb", "pounds": "lb", "#": "lb", "ounce": "oz", "ounces": "oz", "ozs": "oz",
    "kilo": "kg", "kilos": "kg", "kgs": "kg", "gram": "g", "grams": "g", "gr": "g",
    "heads": "head", "bunches": "bunch", "bags": "bag", "plants": "plant", "pieces": "piece", "pcs": "piece",
}  # fmt: skip
SQUARE_METRES_IN_A_SQUARE_FOOT = Decimal("0.09290304")  # exact, 1 in = 25.4 mm
LONGEST = 40  # signs; no amount of a farm is longer
UNUSUAL = 20  # typed amounts this many times the usual one are asked about


def unit_name(text: str) -> str:
    """A unit as it is written everywhere: lower case, one, without a full stop."""
    plain = " ".join(text.casefold().split()).removesuffix(".")
    return OTHER_SPELLINGS.get(plain, plain)


def is_mass(unit: str) -> bool:
    """Whether a unit is one of mass."""
    return unit_name(unit) in NG


def nanograms(amount: Decimal, unit: str) -> int:
    """Mass in whole nanograms.

    Parameters
    ----------
    amount : Decimal, finite
    unit : str
        kg, g, lb or oz.

    Raises
    ------
    ValueError
        If the unit is not one of mass, or the amount is finer than a nanogram.
    """
    if not is_mass(unit):
        raise ValueError(f"{unit!r} is not a unit of mass: kg, g, lb or oz")
    exact = amount * NG[unit_name(unit)]
    whole = int(exact)
    if whole != exact:
        raise ValueError(f"{amount} {unit} is finer than a nanogram")
    return whole


def from_nanograms(mass_ng: int, unit: str) -> Decimal:
    """Mass in a unit, as exact as 28 digits are."""
    return Decimal(mass_ng) / NG[unit_name(unit)]


def rounded(amount: Decimal, places: int) -> Decimal:
    """Half up, as people round."""
    return amount.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def cents(money: Decimal) -> int:
    """Whole cents, half up. Rounded once, where it is charged."""
    return int(rounded(money * 100, 0))


def line_cents(amount: Decimal, price: Decimal) -> int:
    """What one line costs. Lines are rounded, then added. [cents]"""
    return cents(amount * price)


@dataclass(frozen=True, slots=True)
class Weighed:
    """A total of weights that keeps what was weighed apart from what was reckoned from counts.

    Attributes
    ----------
    weighed_ng, estimated_ng : int
        [ng]
    """

    weighed_ng: int = 0
    estimated_ng: int = 0

    def __add__(self, other: "Weighed") -> "Weighed":
        return Weighed(self.weighed_ng + other.weighed_ng, self.estimated_ng + other.estimated_ng)

    @property
    def is_estimate(self) -> bool:
        return self.estimated_ng != 0

    @property
    def total_ng(self) -> int:
        return self.weighed_ng + self.estimated_ng


def weighed_total(parts: Iterable[Weighed]) -> Weighed:
    """Sum of weights, the reckoned part still apart."""
    return sum(parts, Weighed())


def shared_whole(total: int, shares: Sequence[int]) -> list[int]:
    """Share out a whole amount so that the parts add up to it: remainders to the largest, then in order.

    Parameters
    ----------
    total : int, >= 0
    shares : sequence of int, >= 0
        Not all 0 unless the total is. Where the total is at most their sum, no part is above its share.

    Raises
    ------
    ValueError
        If a figure is below 0, or there is something to share and nobody to get it.
    """
    everyone = sum(shares)
    if total < 0 or min(shares, default=0) < 0 or (total and not everyone):
        raise ValueError(f"{total} cannot be shared out by {list(shares)}: shares are 0 or more, not all of them 0")
    if not total:
        return [0] * len(shares)
    parts = [total * share // everyone for share in shares]
    by_remainder = sorted(range(len(shares)), key=lambda number: (-(total * shares[number] % everyone), number))
    for number in by_remainder[: total - sum(parts)]:
        parts[number] += 1
    return parts


def reckoned(count: Decimal, each: Decimal, unit: str) -> Weighed:
    """Weight of counted things by what one usually weighs: an estimate and marked as one."""
    return Weighed(estimated_ng=nanograms(count * each, unit))


class Doubt(StrEnum):
    """Why a typed amount was not simply taken."""

    MISSING = "missing"
    UNREADABLE = "unreadable"
    NEGATIVE = "negative"
    TWO_WAYS = "two ways"  # 1,250: one and a quarter, or twelve hundred and fifty
    ZERO = "zero"
    UNUSUAL = "unusual"


@dataclass(frozen=True, slots=True)
class Reading:
    """What was made of a typed amount.

    Attributes
    ----------
    text : str
        Exactly as typed; shown again.
    amount : Decimal or None
        None while there is no single meaning.
    unit : str
        "" if none was typed. "2 lb 6 oz" reads as 2.375 lb.
    doubt : Doubt or None
        None: take it. ZERO and UNUSUAL come with an amount and need one yes; TWO_WAYS comes with `choices`.
    choices : tuple of Decimal
    times_usual : Decimal or None
        How many times the usual amount, with UNUSUAL.
    """

    text: str
    amount: Decimal | None = None
    unit: str = ""
    doubt: Doubt | None = None
    choices: tuple[Decimal, ...] = ()
    times_usual: Decimal | None = None


_POUNDS_AND_OUNCES = re.compile(
    r"(?P<lb>\d+)\s*(?:lbs?|pounds?|#)\.?\s*(?P<oz>\d+(?:[.,]\d+)?)\s*(?:oz|ounces?)?\.?", re.I
)
_AMOUNT = re.compile(
    r"(?P<sign>[-+−–]?)\s*(?P<number>[\d.,'’ ]*[\d])?\s*(?P<fraction>\d⁄\d)?\s*(?P<unit>#|[^\W\d_]+\.?)?"
)
_GROUPED = {
    ",": re.compile(r"\d{1,3}(,\d{3})+"),
    ".": re.compile(r"\d{1,3}(\.\d{3})+"),
    " ": re.compile(r"\d{1,3}( \d{3})+"),
}


def read_amount(text: str, usual: Decimal | None = None) -> Reading:
    """Read a typed amount; what could mean two things is asked, never guessed.

    Parameters
    ----------
    text : str
        Comma or point, spaces between thousands, fractions, any digits, a unit behind it.
    usual : Decimal or None
        What is usual here; twenty times as much is asked about.

    Returns
    -------
    Reading
    """
    plain = _plain(text)
    if not plain:
        return Reading(text, doubt=Doubt.MISSING)
    if len(plain) > LONGEST:
        return Reading(text, doubt=Doubt.UNREADABLE)
    if both := _POUNDS_AND_OUNCES.fullmatch(plain):
        pounds = Decimal(both["lb"]) + Decimal(both["oz"].replace(",", ".")) / 16
        return _judged(text, pounds, "lb", usual)
    match = _AMOUNT.fullmatch(plain)
    if match is None or not (match["number"] or match["fraction"]):
        return Reading(text, doubt=Doubt.UNREADABLE)
    meanings = _meanings(match["number"]) if match["number"] else (Decimal(0),)
    if match["fraction"]:
        over, under = match["fraction"].split("⁄")
        meanings = tuple(meaning + Decimal(over) / Decimal(under) for meaning in meanings)
    unit = unit_name(match["unit"] or "")
    if not meanings:
        return Reading(text, doubt=Doubt.UNREADABLE)
    if match["sign"] in {"-", "−", "–"}:
        return Reading(text, doubt=Doubt.NEGATIVE, unit=unit)
    if len(meanings) > 1:
        return Reading(text, unit=unit, doubt=Doubt.TWO_WAYS, choices=meanings)
    return _judged(text, meanings[0], unit, usual)


def _judged(text: str, amount: Decimal, unit: str, usual: Decimal | None) -> Reading:
    if amount == 0:
        return Reading(text, amount, unit, Doubt.ZERO)
    if usual and amount >= UNUSUAL * usual:
        return Reading(text, amount, unit, Doubt.UNUSUAL, times_usual=amount / usual)
    return Reading(text, amount, unit)


def _plain(text: str) -> str:
    """Digits of any script as 0-9, fractions as 1⁄2, every space a plain one."""
    signs = []
    for sign in text:
        if unicodedata.category(sign) == "Nd":
            signs.append(str(unicodedata.decimal(sign)))
        elif sign == "٫":
            signs.append(".")
        elif "⁄" in (split := unicodedata.normalize("NFKD", sign)):
            signs.append(f" {split}")
        else:
            signs.append(" " if sign.isspace() else sign)
    return " ".join("".join(signs).split())


def _meanings(number: str) -> tuple[Decimal, ...]:
    """All a row of digits and separators can mean: none, one or two numbers."""
    number = number.replace("'", " ").replace("’", " ")
    found: list[Decimal] = []
    for thousands, point in ((" ", "."), (" ", ","), (",", "."), (".", ",")):
        whole, _, part = number.partition(point)
        if part and not part.isdigit():
            continue
        if not whole.isdigit() and not (whole == "" and part) and not _GROUPED[thousands].fullmatch(whole):
            continue
        if thousands in whole and whole.startswith("0"):
            continue
        meaning = Decimal((whole.replace(thousands, "") or "0") + (f".{part}" if part else ""))
        if meaning not in found:
            found.append(meaning)
    return tuple(sorted(found))
