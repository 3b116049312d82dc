"""Which rows of the sheets are new to the farm, which stand there already, and which say something else than it does.

A row is known by its key. Without one it is known by what it says and by how many rows before it say the same: two true
crates of 12.0 lb are two rows, and the same file read again adds nothing.
"""

import hashlib
import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any, Generic, TypeVar

from django.utils.translation import gettext as _

from farmops.exchange.read_rows import TakenBack
from farmops.exchange.read_sheets.same_stays import parts_by_key, told_stays
from farmops.exchange.sheets.column import Sheet
from farmops.exchange.sheets.columns import SHEETS, STAYS
from farmops.exchange.sheets.written import texts_of
from farmops.journal.models import Entry, Source
from farmops.planning.rows import FarmRows, Fault, Row
from farmops.planning.stored import LONGEST_KEY

R = TypeVar("R", bound=Row, covariant=True)
ALL = ("*",)
# What makes two rows of a sheet the same one, although they may differ elsewhere; ALL: nothing less than everything.
SAME = {
    "farm": (),
    "varieties": ("variety",),
    "schedules": ("variety", "valid_from", "stage"),
    "spaces": ("space", "from"),
    "seed_lots": ("seed_lot",),
    "plantings": ("planting",),
    "stays": ("planting", "space", "from", "moved_from"),
    "losses": ALL,
    "walks": ALL,
    "picks": ALL,
    "items": ("item",),
    "item_parts": ("item", "variety"),
    "outlets": ("outlet",),
    "prices": ("item", "outlet", "from"),
    "market_days": ("date", "market", "item"),
    "standing_orders": ("buyer", "item", "weekday", "first_day"),
    "box_counts": ("box", "week", "size", "item"),
    "single_wants": ALL,
    "closed_days": ALL,
    "waiting": ALL,
}
WITHOUT_ENTRY = {
    "farm", "varieties", "schedules", "spaces", "seed_lots", "items", "item_parts", "outlets", "prices", "closed_days",
}  # fmt: skip
ONLY_ONCE = WITHOUT_ENTRY | {"plantings", "market_days"}  # two that are the same cannot both stand in the farm
NOT_SAID_WHEN_EMPTY = {("spaces", column) for column in ("walk_order", "shade", "lamp_hours", "lamp_light")}
AT_ONCE = 500  # keys asked for in one query


@dataclass(frozen=True, slots=True)
class NewRow(Generic[R]):
    """A row to be written: what it says by column, and the once-only key and hash of its entry."""

    sheet: str
    row: R
    texts: Mapping[str, str]
    once_key: str
    body_hash: str


Differing = tuple[NewRow[Any], Mapping[str, str]]  # a row, and what the farm says instead of it


@dataclass(slots=True)
class Sorted:
    """Rows of all sheets: `new` by sheet in their order, `there` counted by sheet, `faults` of those that differ."""

    new: dict[str, list[NewRow[Any]]] = field(default_factory=lambda: defaultdict(list))
    there: Counter[str] = field(default_factory=Counter)
    faults: list[Fault] = field(default_factory=list)

    @property
    def added(self) -> dict[str, int]:
        return {sheet: len(rows) for sheet, rows in self.new.items() if rows}


@dataclass(slots=True)
class _OfFarm:
    """Rows of one sheet as the farm has them now: their texts by key, and by what makes them the same."""

    by_key: dict[str, dict[str, str]] = field(default_factory=dict)
    same: dict[tuple[str, ...], dict[str, str]] = field(default_factory=dict)
    versions: set[tuple[str, str]] = field(default_factory=set)  # of schedules: variety, valid_from


def sort_rows(read: FarmRows, farm: FarmRows) -> Sorted:
    """Sort what was read by what the farm has; writes nothing. A query for every AT_ONCE rows."""
    found, taken_back = Sorted(), TakenBack.of_farm()
    keyed = {sheet.name: list(_with_keys(sheet, getattr(read, sheet.name), found)) for sheet in SHEETS}
    for sheet in SHEETS:
        if rows := keyed[sheet.name]:
            differing = _sort_sheet(sheet, rows, _of_farm(sheet, getattr(farm, sheet.name)), found, taken_back)
            if sheet is STAYS and differing:
                differing = _not_the_same(differing, keyed, farm, found)
            for row, differs_from in differing:
                found.faults += _differences(sheet, row, differs_from)
    return found


def _not_the_same(
    differing: Sequence[Differing], keyed: Mapping[str, Sequence[NewRow[Any]]], farm: FarmRows, found: Sorted
) -> list[Differing]:
    """Stays that are not only told in other words than the farm's."""
    told: dict[str, Any] = {
        name: tuple(replace(row.row, key=_key(row)) for row in rows) for name, rows in keyed.items()
    }
    plantings = {row.row.planting for row, _farm in differing}
    says, has = told_stays(FarmRows(**told), farm, plantings), parts_by_key(farm.stays)
    left = []
    for row, differs_from in differing:
        if differs_from and says.get(_key(row)) == has.get(_key(row)):
            found.there[STAYS.name] += 1
        else:
            left.append((row, differs_from))
    return left


def _key(row: NewRow[Any]) -> str:
    return row.once_key.partition(":")[2]


def _of_farm(sheet: Sheet, rows: Iterable[Row]) -> _OfFarm:
    found = _OfFarm()
    for row in rows:
        texts = texts_of(sheet, row)
        found.by_key[row.key] = texts
        found.same[_same(sheet, texts)] = texts
        if sheet.name == "schedules":
            found.versions.add((texts["variety"], texts.get("valid_from", "")))
    return found


def _same(sheet: Sheet, texts: Mapping[str, str]) -> tuple[str, ...]:
    columns = SAME[sheet.name]
    if columns is ALL:
        return tuple(f"{name}={text}" for name, text in texts.items())
    return tuple(texts.get(name, "") for name in columns)


def _sort_sheet(
    sheet: Sheet, rows: Sequence[NewRow[Any]], of_farm: _OfFarm, found: Sorted, taken_back: TakenBack
) -> list[Differing]:
    """Sort the rows of one sheet; those that say something else than the farm are given back with what it says."""
    entries = _Entries(taken_back) if sheet.name in WITHOUT_ENTRY else _entries(rows, taken_back)
    differing: list[Differing] = []
    for row in rows:
        if len(row.row.key) > LONGEST_KEY:
            found.faults.append(Fault(sheet.name, row.row.row, "key", _("This key is too long."),
                                      _("A key has up to %(most)d signs.") % {"most": LONGEST_KEY}))  # fmt: skip
            continue
        is_there, differs_from = _judge(sheet, row, of_farm, entries)
        if is_there:
            found.there[sheet.name] += 1
        elif differs_from is not None:
            differing.append((row, differs_from))
        elif sheet.name == "schedules" and (row.texts["variety"], row.texts.get("valid_from", "")) in of_farm.versions:
            found.faults.append(Fault(sheet.name, row.row.row, "stage",
                                      _("The farm has this version of the schedule without this stage."),
                                      _("Begin a new version: write the day it begins into valid_from.")))  # fmt: skip
        else:
            found.new[sheet.name].append(replace(row, once_key=entries.free_key(row.once_key)))
    return differing


def _with_keys(sheet: Sheet, told: Iterable[Row], found: Sorted) -> Iterator[NewRow[Row]]:
    """Each row with its key: its own, else made of what it says and of how many before it say the same."""
    rows = [(row, texts_of(sheet, row)) for row in told]
    taken = {row.key for row, _texts in rows if row.key}
    first: dict[tuple[str, ...], int] = {}
    for row, texts in rows:
        same = _same(sheet, texts)
        if sheet.name in {"market_days", "closed_days"} and first.setdefault(same, row.row) != row.row:
            found.faults.append(Fault(sheet.name, row.row, sheet.columns[0].name,
                                      _("Row %(row)d says the same again.") % {"row": first[same]},
                                      _("Leave one of the two.")))  # fmt: skip
            continue
        key = row.key or _free_key(_hash([sheet.name, *same])[:16], taken)
        taken.add(key)
        yield NewRow(sheet.name, row, texts, f"{sheet.name}:{key}", _hash(texts))


def _free_key(stem: str, taken: set[str]) -> str:
    return next(key for times in count(1) if (key := f"{stem}-{times}") not in taken)


def _hash(said: object) -> str:
    return hashlib.sha256(json.dumps(said, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class _Entries:
    """Entries that rows may have been written by: (body hash, source) by once-only key, and keys that are used up."""

    taken_back: TakenBack
    there: dict[str, tuple[str, str]] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)

    def get(self, once_key: str) -> tuple[str, str] | None:
        """The one that counts."""
        return next((self.there[key] for key in self.taken_back.keys_for(once_key) if key in self.there), None)

    def free_key(self, once_key: str) -> str:
        """The first key that no entry has."""
        return next((key for key in self.taken_back.keys_for(once_key) if key not in self.used), once_key)


def _entries(rows: Iterable[NewRow[Row]], taken_back: TakenBack) -> _Entries:
    """Entries these rows may have been written by, without those of readings that were taken back."""
    asked = {key for row in rows for key in taken_back.keys_for(row.once_key)}
    asked |= {row.row.key.partition("/")[0] for row in rows if row.row.key}
    keys = sorted(asked)
    found = _Entries(taken_back)
    for at in range(0, len(keys), AT_ONCE):
        some = Entry.objects.filter(once_key__in=keys[at : at + AT_ONCE])
        for pk, key, body, source in some.values_list("pk", "once_key", "body_hash", "source"):
            found.used.add(key)
            if not taken_back.holds(pk):
                found.there[key] = body, source
    return found


def _judge(
    sheet: Sheet, row: NewRow[Row], of_farm: _OfFarm, entries: _Entries
) -> tuple[bool, Mapping[str, str] | None]:
    """Whether it stands in the farm, and what the farm says instead where it says something else."""
    key = _key(row)
    entry = entries.get(row.once_key)
    is_made_of_all = not row.row.key and SAME[sheet.name] is ALL
    if entry is not None and (entry[0] == row.body_hash or is_made_of_all):
        return True, None
    of_key = of_farm.by_key.get(key) if sheet.name not in WITHOUT_ENTRY and (entry or row.row.key) else None
    if of_key is not None:
        return _says(sheet, row, of_key), of_key
    if entry is not None:
        return False, {}
    by_phone = entries.get(row.row.key.partition("/")[0]) if row.row.key else None
    if by_phone is not None and by_phone[1] != Source.SHEET:
        return True, None  # it was corrected or taken back since the sheet was written
    if sheet.name in ONLY_ONCE and (same := of_farm.same.get(_same(sheet, row.texts))) is not None:
        return _says(sheet, row, same), same
    return False, None


def _says(sheet: Sheet, row: NewRow[Row], farm: Mapping[str, str]) -> bool:
    return not list(_differing(sheet, row, farm))


def _differing(sheet: Sheet, row: NewRow[Row], farm: Mapping[str, str]) -> Iterator[str]:
    """Columns in which they differ; in a note without a key an empty cell says nothing against the farm."""
    is_short = not row.row.key and sheet.name not in WITHOUT_ENTRY
    for column in sheet.columns:
        says, has = row.texts.get(column.name, ""), farm.get(column.name, "")
        says_nothing = not says and (is_short or (sheet.name, column.name) in NOT_SAID_WHEN_EMPTY)
        if says != has and not says_nothing:
            yield column.name


def _differences(sheet: Sheet, row: NewRow[Row], farm: Mapping[str, str]) -> Iterator[Fault]:
    if not farm:
        yield Fault(sheet.name, row.row.row, "key", _("A row of this key was read before, and is not there any more."),
                    _("Give this row another key if it is another row."))  # fmt: skip
        return
    for name in _differing(sheet, row, farm):
        words = {"farm": farm.get(name, "") or _("nothing"), "sheet": row.texts.get(name, "") or _("nothing")}
        yield Fault(sheet.name, row.row.row, name,
                    _("The farm has “%(farm)s”, this sheet “%(sheet)s”.") % words,
                    _("Sheets add rows and change none: change it in the farm, or put this cell back."))  # fmt: skip
