"""Weights as scales and people say them: pounds with ounces, kilos, and crates to take off."""

from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import NG, Doubt, from_nanograms, is_mass, read_amount, rounded, unit_name
from farmops.farm.typed_amount import amount_of, whole_of
from farmops.journal.refusal import Refused

OUNCES_IN_A_POUND = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """What a scale showed and what of it is crop.

    Attributes
    ----------
    typed : str
        As typed, unit included.
    unit : str
        Of what was typed: kg, g, lb or oz.
    net_ng : int
        [ng]
    gross_ng, tare_ng : int or None
        With crates only; the tare is of one crate. [ng]
    crates : int or None
    """

    typed: str
    unit: str
    net_ng: int
    gross_ng: int | None = None
    crates: int | None = None
    tare_ng: int | None = None


def weight_of(
    typed: str,
    unit: str,
    *,
    ounces: str = "",
    field: str = "weight",
    usual_ng: int | None = None,
    yes: frozenset[str] = frozenset(),
) -> Weighing:
    """Read a weight.

    Parameters
    ----------
    typed : str
        The amount; a unit behind it counts more than `unit`.
    unit : str
        The unit that stands beside the field.
    ounces : str
        From a second box, beside whole pounds: 2 and 6 are 2 lb 6 oz, which 2.6 is not.
    field : str
    usual_ng : int or None
        What is usual here; twenty times as much is asked about. [ng]
    yes : frozenset of str
        Questions answered with yes.

    Raises
    ------
    Refused, NeedsYes
        As `amount_of`; also where it is no weight, or the two boxes do not fit together.
    """
    told = read_amount(typed).unit or unit_name(unit)
    if not is_mass(told):
        raise Refused(
            _("“%(typed)s” is no weight. Weights are in kg, g, lb or oz; what is counted has its own box.")
            % {"typed": typed.strip()},
            field=field,
        )
    usual = from_nanograms(usual_ng, told) if usual_ng else None
    amount = amount_of(typed, field=field, usual=usual, yes=yes).amount or Decimal(0)
    plain = " ".join(typed.split())
    said = plain if read_amount(typed).unit else f"{plain} {told}"
    if ounces.strip():
        amount += _ounces_beside(amount, told, ounces, field=field, yes=yes)
        said = f"{said} {' '.join(ounces.split())} oz"
    return Weighing(typed=said, unit=told, net_ng=int(rounded(amount * NG[told], 0)))


def without_crates(weighing: Weighing, *, crates: int, tare_ng: int, field: str = "weight") -> Weighing:
    """Take the empty crates off what the scale showed; their weight of today is kept with it.

    Raises
    ------
    Refused
        If nothing is left.
    """
    empty_ng = crates * tare_ng
    gross_ng = weighing.net_ng
    if gross_ng <= empty_ng:
        words = {"typed": weighing.typed, "empty": weight_in_words(empty_ng, weighing.unit)}
        if gross_ng < empty_ng:
            raise Refused(_("%(typed)s is less than the empty crates, %(empty)s.") % words, field=field)
        raise Refused(_("%(typed)s is just what the empty crates weigh, %(empty)s.") % words, field=field)
    return replace(weighing, net_ng=gross_ng - empty_ng, gross_ng=gross_ng, crates=crates, tare_ng=tare_ng)


def weight_in_words(mass_ng: int, unit: str) -> str:
    """A weight to two places with its unit."""
    return f"{rounded(from_nanograms(mass_ng, unit), 2)} {unit_name(unit)}"


def _ounces_beside(pounds: Decimal, unit: str, ounces: str, *, field: str, yes: frozenset[str]) -> Decimal:
    if unit != "lb" or pounds != int(pounds):
        raise Refused(_("Ounces stand beside whole pounds only."), field=field)
    beside = f"{field}-ounces"
    reading = amount_of(ounces, field=beside, yes=yes, may_be_zero=True)
    amount = reading.amount or Decimal(0)
    if reading.unit not in {"", "oz"} or amount >= OUNCES_IN_A_POUND:
        raise Refused(_("Ounces are less than 16; 16 of them are a pound."), field=beside)
    return amount / OUNCES_IN_A_POUND


def crates_of(typed: str, *, yes: frozenset[str] = frozenset()) -> int:
    """How many crates stood on the scale."""
    crates = whole_of(typed, field="crates", yes=yes)
    if crates < 1:
        raise Refused(_("Say how many crates stood on the scale, or choose “no crate”."), field="crates")
    return crates


@dataclass(frozen=True, slots=True)
class Much:
    """An amount as it is stored, weighed or counted. [ng or counts]

    Attributes
    ----------
    mass_ng : int or None
        None: it was counted. [ng]
    has_unit : bool
        The unit was typed with it.
    """

    amount: int
    unit: str
    mass_ng: int | None
    has_unit: bool = False


def read_much(
    typed: str, unit: str, field: str, yes: frozenset[str] = frozenset(), *, may_be_zero: bool = False
) -> Much:
    """Read an amount of something that is weighed or counted in `unit`.

    Raises
    ------
    Refused, NeedsYes
        As `amount_of`; also where it is counted in another unit, or is 0 and may not be.
    """
    told = read_amount(typed).unit
    if is_mass(unit):
        if may_be_zero and read_amount(typed).doubt is Doubt.ZERO:
            return Much(0, told or unit_name(unit), 0, bool(told))
        weighing = weight_of(typed, unit, field=field, yes=yes)
        much = Much(weighing.net_ng, weighing.unit, weighing.net_ng, bool(told))
    else:
        if told and told != unit_name(unit):
            words = {"typed": typed.strip(), "unit": unit_name(unit)}
            raise Refused(_("“%(typed)s”: this is counted in %(unit)s.") % words, field=field)
        count = whole_of(typed, field=field, yes=yes, may_be_zero=may_be_zero)
        much = Much(count, unit_name(unit), None, bool(told))
    if much.amount == 0 and not may_be_zero:
        raise Refused(_("Where there is nothing there is nothing to note."), field=field)
    return much
