"""A day's pick list as it was written down: its latest version, its lines, and how much of each is cut."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Q

from farmops.core.quantities import is_mass, unit_name
from farmops.growing.models import Planting, Stay
from farmops.harvest.models import Pick, PickLine, PickSheet

COLUMNS = (
    "sheet", "position", "is_stock", "amount", "unit", "packed", "packed_unit", "short", "for_whom", "words",
    "planting__code", "planting__variety__name", "stay__space__name", "item__name",
)  # fmt: skip


@dataclass(slots=True)
class LineDone:
    """A line to cut and what was cut of it. [ng or counts]"""

    line: PickLine
    done: int = 0

    @property
    def left(self) -> int:
        return max(self.line.amount - self.done, 0)

    @property
    def is_done(self) -> bool:
        """Up to what the list does not show: a weight on it is rounded to a tenth."""
        return self.done > 0 and self.left * 100 < self.line.amount


def latest_sheet(day: date) -> PickSheet | None:
    return PickSheet.objects.filter(pick_on=day).order_by("-version").first()


def note_printed(sheet: PickSheet, now: datetime) -> None:
    """This version hangs in the shed; the first printing counts."""
    PickSheet.objects.filter(pk=sheet.pk, printed_at=None).update(printed_at=now)


def lines_of(sheet: PickSheet) -> list[PickLine]:
    """Every line in its order, with the names of what it names. One query."""
    lines = sheet.lines.select_related("planting__variety", "stay__space", "item").only(*COLUMNS)
    return list(lines.order_by("position"))


class Part(StrEnum):
    """The parts of a list."""

    STOCK = "stock"  # from the cold room, before anything is cut
    CUT = "cut"
    PACK = "pack"  # an item: how much, for whom, who goes short
    OFF = "off"  # a planting that must not be cut
    NOTE = "note"


def part_of(line: PickLine) -> Part:
    """Which part of the list a line stands in."""
    if line.is_stock:
        return Part.STOCK
    if line.planting_id is not None:
        return Part.CUT if line.amount > 0 else Part.OFF
    return Part.NOTE if line.item_id is None else Part.PACK


def done_of(lines: Sequence[PickLine], sheet: PickSheet) -> dict[int, LineDone]:
    """What was cut of each line of a list, by its key. One query.

    A pick that says where it was cut counts for the line of that place; what else a planting gave fills its lines in
    their order, and what is more than all of them stands with the last.
    """
    found = {line.pk: LineDone(line) for line in lines if part_of(line) is Part.CUT}
    of_planting: dict[int | None, list[LineDone]] = defaultdict(list)
    for one in found.values():
        of_planting[one.line.planting_id].append(one)
    if not found:
        return found
    picks = Pick.objects.live().filter(_cut_for(sheet), planting__in=list(of_planting)).order_by("pk")
    loose: dict[int, list[_Cut]] = defaultdict(list)
    for pick in map(_Cut._make, picks.values_list("planting", "stay__space", "mass_ng", "count", "count_unit")):
        here = [one for one in of_planting[pick.planting_id] if _is_there(pick.space_id, one.line)]
        if here:
            here[0].done += _amount(pick, here[0].line.unit)
        else:
            loose[pick.planting_id].append(pick)
    for planting, of_it in loose.items():
        _fill(of_planting[planting], of_it)
    return found


def _cut_for(sheet: PickSheet) -> Q:
    """Picks that count for this version of a day's list: those of its day, and those cut for it on another.

    What was cut before its day already lies in the cold room for a version that was made after that.
    """
    of_the_day = Q(picked_on=sheet.pick_on, cut_for=None)
    named = Q(cut_for__pick_on=sheet.pick_on)
    return of_the_day | named & (Q(picked_on__gte=sheet.pick_on) | Q(cut_for__version__gte=sheet.version))


def to_cut_of(planting: Planting, *days: date) -> dict[date, list[PickLine]]:
    """What the newest lists of these days ask of a planting, by day. One query."""
    newer = PickSheet.objects.filter(pick_on=OuterRef("sheet__pick_on"), version__gt=OuterRef("sheet__version"))
    lines = PickLine.objects.filter(
        ~Exists(newer), planting=planting, sheet__pick_on__in=days, is_stock=False, amount__gt=0
    )
    found: dict[date, list[PickLine]] = defaultdict(list)
    for line in lines.select_related("sheet", "stay").order_by("position"):
        found[line.sheet.pick_on].append(line)
    return found


def list_cut_for(planting: Planting, stay: Stay | None, day: date, named: date | None) -> PickSheet | None:
    """The list of another day for which something was cut; None: whatever it is, the list of its own day.

    `named` is the day of the list somebody came from. Where nobody says, it is the next day's list that is asked for
    plants of this planting in this place, once the day's own list asks for no more of them.
    """
    if named is not None:
        return None if named == day else latest_sheet(named)
    if stay is None:
        return None
    tomorrow = day + timedelta(days=1)
    asked = to_cut_of(planting, day, tomorrow)
    if _is_open(asked[tomorrow], stay) and not _is_open(asked[day], stay):
        return asked[tomorrow][0].sheet
    return None


def _is_open(lines: Sequence[PickLine], stay: Stay) -> bool:
    """Whether something is still to be cut there by a list."""
    if not any(_is_there(stay.space_id, line) for line in lines):
        return False
    done = done_of(lines, lines[0].sheet).values()
    return any(_is_there(stay.space_id, one.line) and not one.is_done for one in done)


class _Cut(NamedTuple):
    """Of a pick, what tells how much of which line it is."""

    planting_id: int
    space_id: int | None
    mass_ng: int | None
    counted: int | None
    count_unit: str


def _is_there(space_id: int | None, line: PickLine) -> bool:
    return space_id is not None and line.stay is not None and space_id == line.stay.space_id


def _fill(lines: Sequence[LineDone], picks: Iterable[_Cut]) -> None:
    for pick in picks:
        amount = _amount(pick, lines[0].line.unit)
        for one in lines:
            part = min(amount, one.left)
            one.done += part
            amount -= part
        lines[-1].done += amount


def _amount(pick: _Cut, unit: str) -> int:
    """What a pick gave in the unit of the line: nothing where only the other was noted."""
    if is_mass(unit):
        return pick.mass_ng or 0
    return (pick.counted or 0) if unit_name(pick.count_unit) == unit_name(unit) else 0
