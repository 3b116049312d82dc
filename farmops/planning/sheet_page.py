"""A written pick list as screens and papers show it: its lines in words, what is done, and whether it is old."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext as _

from farmops.core.quantities import is_mass
from farmops.farm.days import minute_of
from farmops.harvest.amounts_shown import figure, with_unit
from farmops.harvest.models import Pick, PickLine, PickSheet
from farmops.harvest.pick_sheets import LineDone, Part, done_of, lines_of, part_of
from farmops.journal.models import Entry
from farmops.planning.sheet_changes import changes_between

MOST = 200  # entries that are looked at: whether one or two hundred came since, the list is made anew


@dataclass(frozen=True, slots=True)
class CutRow:
    """A line to cut.

    Attributes
    ----------
    packed : str
        What it packs to, where that is less.
    done : str
        20 of 24 cut; empty before the first pick.
    anchor : str
        The line's own place on the page.
    address : str
        The page that notes it, with what is left preset; it leads back to this line.
    """

    where: str
    code: str
    variety: str
    amount: str
    figure: str
    unit: str
    packed: str
    for_whom: str
    done: str
    is_done: bool
    anchor: str
    address: str


@dataclass(frozen=True, slots=True)
class PackRow:
    """An item to pack: how much, for whom, and who goes short."""

    item: str
    amount: str
    for_whom: Sequence[tuple[str, str]]
    short: str
    words: str


@dataclass(frozen=True, slots=True)
class SheetPage:
    """A version of a list.

    Attributes
    ----------
    minute : int
        When it was made, on the farm's clock. [min after midnight]
    stock : sequence of (amount, what)
    totals : str
        All that is to be cut of each variety.
    old : PickSheet or None
        The sheet that hangs in the shed, where a newer version was made since.
    changes : sequence of str
        What is different from it.
    since : int
        Entries since this version was made that may change the list.
    """

    sheet: PickSheet
    minute: int
    stock: Sequence[tuple[str, str]]
    cuts: Sequence[CutRow]
    totals: str
    packs: Sequence[PackRow]
    off: Sequence[str]
    notes: Sequence[str]
    old: PickSheet | None
    old_minute: int | None
    changes: Sequence[str]
    since: int

    @property
    def day(self) -> date:
        return self.sheet.pick_on

    @property
    def done(self) -> int:
        return sum(row.is_done for row in self.cuts)


def sheet_page(day: date) -> SheetPage | None:
    """The latest version of a day's list; None before the first was made. The same few queries for any list."""
    sheets = list(PickSheet.objects.filter(pick_on=day).order_by("-version"))
    if not sheets:
        return None
    sheet = sheets[0]
    old = next((one for one in sheets[1:] if one.printed_at is not None), None)
    if sheet.printed_at is None and old is None and len(sheets) > 1:
        old = sheets[1]
    if sheet.printed_at is not None:
        old = None
    return page_of(sheet, old, since=_entries_since(sheet))


def page_of(sheet: PickSheet, old: PickSheet | None = None, *, since: int = 0) -> SheetPage:
    """One version, and what is different from an older one."""
    lines = lines_of(sheet)
    parts: dict[Part, list[PickLine]] = defaultdict(list)
    for line in lines:
        parts[part_of(line)].append(line)
    done = done_of(lines, sheet)
    return SheetPage(
        sheet=sheet,
        minute=minute_of(sheet.made_at),
        stock=[(with_unit(line.amount, line.unit), line.words) for line in parts[Part.STOCK]],
        cuts=[_cut_row(line, done[line.pk], sheet.pick_on) for line in parts[Part.CUT]],
        totals=_totals(parts[Part.CUT]),
        packs=[_pack_row(line) for line in parts[Part.PACK]],
        off=[line.words for line in parts[Part.OFF]],
        notes=[line.words for line in parts[Part.NOTE]],
        old=old,
        old_minute=None if old is None else minute_of(old.made_at),
        changes=[] if old is None else changes_between(lines_of(old), lines),
        since=since,
    )


def _entries_since(sheet: PickSheet) -> int:
    """Entries after it was made, but for the picks that are cut for it: those it is for. At most `MOST`."""
    latest = Entry.objects.order_by("-pk").values("pk")[:MOST]
    since = Entry.objects.filter(pk__in=latest, received_at__gt=sheet.made_at)
    picks = Pick.objects.filter(Q(cut_for__pick_on=sheet.pick_on) | Q(cut_for=None, picked_on=sheet.pick_on))
    own = picks.values("entry")
    return since.exclude(pk__in=own).exclude(corrects__isnull=False, corrects__in=own).count()


def _cut_row(line: PickLine, done: LineDone, day: date) -> CutRow:
    planting = line.planting
    code = planting.code if planting else ""
    asked: Mapping[str, object] = {
        "amount": figure(done.left or line.amount, line.unit),
        "unit": line.unit,
        "stay": line.stay_id or "",
        "list": day,
        "next": f"{reverse('pick-list')}?day={day}#line-{line.pk}",
    }
    said = ""
    if done.done:
        words = {"done": figure(done.done, line.unit), "listed": figure(line.amount, line.unit)}
        said = _("%(done)s of %(listed)s cut") % words
    return CutRow(
        where=line.stay.space.name if line.stay else "",
        code=code,
        variety=planting.variety.name if planting else "",
        amount=with_unit(line.amount, line.unit),
        figure=figure(line.amount, line.unit),
        unit=with_unit(line.amount, line.unit).partition(" ")[2],
        packed=with_unit(line.packed, line.packed_unit) if line.packed < line.amount else "",
        for_whom=line.words,
        done=said,
        is_done=done.is_done,
        anchor=f"line-{line.pk}",
        address=f"{reverse('pick-crop', args=[code])}?{urlencode(asked)}",
    )


def _pack_row(line: PickLine) -> PackRow:
    unit = line.packed_unit
    places = 2 if is_mass(unit) else 0
    short = ""
    if line.short:
        who = [f"{outlet} {figure(missing, unit, places)}" for outlet, _got, missing in line.for_whom if missing]
        short = _("short %(short)s of %(wanted)s: %(who)s") % {
            "short": figure(line.short, unit, places),
            "wanted": figure(line.packed + line.short, unit, places),
            "who": ", ".join(who),
        }
    return PackRow(
        item=line.item.name if line.item else "",
        amount=with_unit(line.packed, unit, places),
        for_whom=[(outlet, figure(got, unit, places)) for outlet, got, _missing in line.for_whom if got],
        short=short,
        words=line.words,
    )


def _totals(lines: Sequence[PickLine]) -> str:
    sums: dict[tuple[str, str], int] = defaultdict(int)
    for line in lines:
        sums[line.planting.variety.name if line.planting else "", line.unit] += line.amount
    return ", ".join(f"{variety} {with_unit(amount, unit)}" for (variety, unit), amount in sums.items())
