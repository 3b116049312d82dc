"""What was cut of a planting, pick by pick, corrected ones with what stands in their place."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from farmops.core.quantities import from_nanograms, is_mass, rounded, unit_name
from farmops.farm.unit_words import unit_of_many
from farmops.growing.models import Planting
from farmops.harvest.amounts_shown import plain
from farmops.harvest.models import Pick
from farmops.journal.models import Entry

COLUMNS = (
    "planting", "picked_on", "minute", "count", "count_unit", "mass_ng", "typed", "typed_unit", "culled_count",
    "culled_ng", "by_name", "lot__code", "lot__stopped_at", "lot__stopped_because", "stay__space__name", "entry__job",
    "entry__by__name", "entry__corrected_by__said",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PickRow:
    """One pick as a list shows it.

    Attributes
    ----------
    amount : str
        What it comes to: 38 heads, 9.55 lb.
    typed : str
        As typed, where that says more: 14.35 lb with 3 crates.
    culled : str
    where : str
        The space it was cut in; empty where nobody said.
    minute : int or None
    by : str
    lot, stopped_because : str
    is_live : bool
        It counts: neither corrected nor taken back.
    instead : str
        What the entry that corrected it says.
    may_correct : bool
    """

    pick: Pick
    day: date
    minute: int | None
    amount: str
    typed: str
    culled: str
    where: str
    by: str
    lot: str
    stopped_because: str
    is_live: bool
    instead: str
    may_correct: bool


def picks_of(planting: Planting) -> list[PickRow]:
    """All picks of a planting, latest day first; corrected ones too. One query."""
    picks = (
        Pick.objects.filter(planting=planting)
        .select_related("lot", "stay__space", "entry__by", "entry__corrected_by")
        .only(*COLUMNS)
        .order_by("-picked_on", "-pk")
    )
    return [_row(pick) for pick in picks]


def amount_words(pick: Pick) -> str:
    """38 heads, 9.55 lb: what a pick comes to without crates."""
    parts = []
    if pick.count is not None:
        parts.append(_counted(pick.count, pick.count_unit))
    if pick.mass_ng is not None:
        unit = mass_unit_of(pick)
        parts.append(f"{plain(rounded(from_nanograms(pick.mass_ng, unit), 3))} {unit}")
    return ", ".join(parts)


def _counted(count: int, unit: str) -> str:
    return f"{count} {unit if count == 1 else unit_of_many(unit)}".strip()


def mass_unit_of(pick: Pick) -> str:
    """The unit its weight was typed in; where it was counted too, the text says it last."""
    unit = unit_name(pick.typed_unit)
    if not is_mass(unit):
        unit = unit_name(pick.typed.split(" ")[-1])
    return unit if unit in {"kg", "g"} or (unit == "oz" and " lb" not in pick.typed) else "lb"


def _row(pick: Pick) -> PickRow:
    amount = amount_words(pick)
    replaced: Entry | None = getattr(pick.entry, "corrected_by", None)
    culled: Iterable[str] = (
        *((_counted(pick.culled_count, pick.count_unit),) if pick.culled_count else ()),
        *((f"{plain(rounded(from_nanograms(pick.culled_ng, 'lb'), 3))} lb",) if pick.culled_ng else ()),
    )
    return PickRow(
        pick=pick,
        day=pick.picked_on,
        minute=pick.minute,
        amount=amount,
        typed="" if pick.typed in {amount, f"{pick.count} {pick.count_unit}"} else pick.typed,
        culled=", ".join(culled),
        where=pick.stay.space.name if pick.stay else "",
        by=pick.by_name or str(pick.entry.by or ""),
        lot=pick.lot.code if pick.lot else "",
        stopped_because=(pick.lot.stopped_because or "?") if pick.lot and pick.lot.stopped_at else "",
        is_live=replaced is None,
        instead=replaced.said if replaced is not None else "",
        may_correct=replaced is None,
    )
