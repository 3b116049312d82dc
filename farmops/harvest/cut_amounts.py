"""What was typed about one pick, made into whole amounts and shared out between the plantings it was cut from."""

from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import from_nanograms, is_mass, read_amount, rounded, shared_whole, unit_name
from farmops.farm.typed_amount import amount_of, whole_of
from farmops.farm.unit_words import unit_of_many
from farmops.harvest.amounts_shown import plain
from farmops.harvest.models import CrateKind
from farmops.harvest.typed_weight import Weighing, crates_of, weight_of, without_crates
from farmops.journal.refusal import Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedCut:
    """The boxes of the form as they were filled in; empty ones were not.

    Attributes
    ----------
    crate : CrateKind or None
        The weight was taken with crates of this kind.
    culled, culled_weight : str
        Thrown out while cutting, beside what is counted or weighed as cut.
    usual_ng, usual_count : int or None
        What this planting usually gives at once; twenty times as much is asked about. [ng, counts]
    """

    count: str = ""
    count_unit: str = "head"
    weight: str = ""
    weight_unit: str = "lb"
    ounces: str = ""
    crate: CrateKind | None = None
    crates: str = ""
    culled: str = ""
    culled_weight: str = ""
    usual_ng: int | None = None
    usual_count: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """What one planting gave.

    Attributes
    ----------
    count, culled : int or None
    mass_ng, culled_ng : int or None
        Net. [ng]
    weighing : Weighing or None
        Of all that stood on the scale, also where it was cut from several plantings.
    typed, typed_unit : str
    """

    count: int | None
    count_unit: str
    mass_ng: int | None
    culled: int | None
    culled_ng: int | None
    weighing: Weighing | None
    typed: str
    typed_unit: str

    @property
    def typed_in_words(self) -> str:
        """38 heads, 9.55 lb: what was typed, as one would say it."""
        counted, comma, weighed = self.typed.rpartition(", ") if self.weighing and self.count else ("", "", self.typed)
        if self.weighing is None:
            counted, weighed = self.typed, ""
        one = f" {self.count_unit}"
        if self.count not in (None, 1) and counted.endswith(one):
            counted = f"{counted.removesuffix(one)} {unit_of_many(self.count_unit)}"
        if self.weighing and "," in weighed:
            scale = self.weighing
            shown = scale.net_ng if scale.gross_ng is None else scale.gross_ng
            weighed = f"{plain(rounded(from_nanograms(shown, scale.unit), 3))} {scale.unit}"
        return f"{counted}{comma}{weighed}"


def read_cut(cut: TypedCut, yes: frozenset[str]) -> Amounts:
    """Read the boxes.

    Raises
    ------
    Refused
        If neither a count nor a weight was typed, or one cannot be read.
    NeedsYes
        If one is odd: "count-unusual", "weight-unusual".
    """
    if not cut.count.strip() and not (cut.weight.strip() or cut.ounces.strip()):
        raise Refused(_("Type how much was cut; nothing typed is not taken for 0."), field="weight")
    count = _count(cut.count, "count", yes, usual=cut.usual_count)
    unit = read_amount(cut.count).unit or unit_name(cut.count_unit) if count is not None else ""
    weighing = _weighing(cut, yes)
    said = [" ".join(cut.count.split()) + ("" if read_amount(cut.count).unit else f" {unit}")] if unit else []
    if weighing is not None:
        said.append(weighing.typed)
    culled_ng = None
    if cut.culled_weight.strip():
        culled_ng = weight_of(cut.culled_weight, cut.weight_unit, field="culled_weight", yes=yes).net_ng
    return Amounts(
        count=count,
        count_unit=unit,
        mass_ng=weighing.net_ng if weighing else None,
        culled=_count(cut.culled, "culled", yes, may_be_zero=True),
        culled_ng=culled_ng,
        weighing=weighing,
        typed=", ".join(said),
        typed_unit=unit or (weighing.unit if weighing else ""),
    )


def shared_out(amounts: Amounts, shares: tuple[int, ...]) -> list[Amounts]:
    """What each of several plantings gave; every amount adds up to what it was.

    Raises
    ------
    Refused
        If one would get nothing.
    """
    counts, masses, culled, culled_ng = (
        [None] * len(shares) if whole is None else shared_whole(whole, shares)
        for whole in (amounts.count, amounts.mass_ng, amounts.culled, amounts.culled_ng)
    )
    if 0 in counts or 0 in masses:
        raise Refused(
            _("%(typed)s is too little for %(plantings)d plantings.")
            % {"typed": amounts.typed, "plantings": len(shares)}
        )
    return [
        replace(amounts, count=count, mass_ng=mass, culled=off, culled_ng=off_ng)
        for count, mass, off, off_ng in zip(counts, masses, culled, culled_ng, strict=True)
    ]


def _count(
    typed: str, field: str, yes: frozenset[str], *, may_be_zero: bool = False, usual: int | None = None
) -> int | None:
    if not typed.strip():
        return None
    if is_mass(read_amount(typed).unit):
        raise Refused(
            _("“%(typed)s” is a weight, and a weight has its own box.") % {"typed": typed.strip()}, field=field
        )
    count = whole_of(typed, field=field, yes=yes, may_be_zero=may_be_zero)
    if usual:
        amount_of(typed, field=field, usual=Decimal(usual), yes=yes, may_be_zero=may_be_zero)
    if count == 0 and not may_be_zero:
        raise Refused(_("Where nothing was cut there is no pick to note."), field=field)
    return count


def _weighing(cut: TypedCut, yes: frozenset[str]) -> Weighing | None:
    if not (cut.weight.strip() or cut.ounces.strip()):
        return None
    weighing = weight_of(
        # Six ounces alone are 0 lb 6 oz; a zero that nobody typed is not asked about.
        cut.weight if cut.weight.strip() else cut.ounces,
        cut.weight_unit if cut.weight.strip() else "oz",
        ounces=cut.ounces if cut.weight.strip() else "",
        usual_ng=cut.usual_ng,
        yes=yes,
    )
    if cut.crate is None and cut.crates.strip():
        raise Refused(_("Say what kind of crates they were."), field="crate")
    if cut.crate is not None:
        tare_ng = CrateKind.objects.values_list("tare_ng", flat=True).get(pk=cut.crate.pk)
        weighing = without_crates(weighing, crates=crates_of(cut.crates, yes=yes), tare_ng=tare_ng)
    if weighing.net_ng == 0:
        raise Refused(_("Where nothing was cut there is no pick to note."), field="weight")
    return weighing
