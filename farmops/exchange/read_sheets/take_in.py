"""Reading a folder of sheets into the farm: sorted, checked and made into rows outside the write lock, then written."""

import hashlib
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.db import IntegrityError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.quantities import unit_name
from farmops.exchange.read_sheets.fits import Faults
from farmops.exchange.read_sheets.names import Names
from farmops.exchange.read_sheets.plantings import add_plantings
from farmops.exchange.read_sheets.records import add_records
from farmops.exchange.read_sheets.reference import add_reference
from farmops.exchange.read_sheets.sales import add_sales
from farmops.exchange.read_sheets.sorting import NewRow, Sorted, sort_rows
from farmops.exchange.read_sheets.store import MovedOn, broken_rules, count_anew, standing_of, store
from farmops.exchange.read_sheets.to_write import ToWrite
from farmops.exchange.sheets.checks import check_rows
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import first_of_each_sheet, rows_of_folder
from farmops.exchange.sheets_of_farm import sheets_of_farm
from farmops.farm.days import farm_day, farm_zone
from farmops.growing.models import Planting
from farmops.journal.models import READING, Entry, Job, Source
from farmops.journal.refusal import Refused
from farmops.people.models import Person
from farmops.planning.rows import FarmRows, Fault, FaultsFound

TRIES = 5  # others may note things of the same plantings meanwhile; then it is looked at again


@dataclass(frozen=True, slots=True)
class Once:
    """The once-only key of a reading, and what tells its sheets from others."""

    key: str
    body: str = ""

    @property
    def entry_key(self) -> str:
        return READING + hashlib.sha256(self.key.encode()).hexdigest()[:40]


class RowsRefused(FaultsFound):
    """Rows that cannot be taken; `found` says of each sheet what is new and what is there already."""

    def __init__(self, faults: list[Fault], found: Sorted) -> None:
        super().__init__(first_of_each_sheet(faults))
        self.found = found


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What a reading added, by sheet, and how many rows stood there already.

    Attributes
    ----------
    entry : Entry or None
        Of the whole reading; None where nothing was written.
    """

    added: Mapping[str, int]
    there: Mapping[str, int]
    without_place: int = 0
    lots_stopped: int = 0
    entry: Entry | None = field(default=None, compare=False)


def read_sheets(
    folder: Path, *, now: datetime, by: Person | None = None, dry_run: bool = False, once: Once | None = None
) -> TakenIn:
    """Add the rows of a folder's sheets to the farm, all or nothing.

    Parameters
    ----------
    folder : Path
        Holds `<sheet>.csv`; names the farm knows need not stand in them.
    now : datetime
    by : Person or None
        Who reads them in.
    dry_run : bool
        Find out what would be added, and write nothing.
    once : Once or None
        Sent a second time, it is answered as the first time.

    Raises
    ------
    FaultsFound
        With every row that cannot be taken, or that says something else than the farm; then nothing is written.
    Refused
        If the farm is being changed all the time, or the once-only key was used for other sheets.
    """
    once = once or Once(uuid.uuid4().hex)
    for _attempt in range(TRIES):
        if not dry_run and (first := _read_before(once)):
            return first
        read = _read(folder, now)
        if dry_run or not read.found.added:
            return _taken_in(read, None)
        head = _head(read, now, by, once)
        try:
            store(read.to_write, head, read.before, read.touched)
        except MovedOn:
            continue
        except IntegrityError:
            if faults := broken_rules(read.to_write):
                raise RowsRefused(faults, read.found) from None
            continue
        count_anew(read.to_write)
        return _taken_in(read, head)
    raise Refused(_("The farm is being changed at the same time. Nothing was read in; try again in a minute."))


def _read_before(once: Once) -> TakenIn | None:
    """What a reading with this key did, if there was one."""
    head = Entry.objects.filter(once_key=once.entry_key).first()
    if head is None:
        return None
    if head.body_hash != once.body:
        raise Refused(_("That form was sent before with other sheets: “%(said)s”.") % {"said": head.said})
    return TakenIn(head.answer["added"], head.answer["there"], entry=head)


@dataclass(frozen=True, slots=True)
class _Read:
    found: Sorted
    to_write: ToWrite
    before: tuple[object, ...]
    touched: list[Planting]


def _read(folder: Path, now: datetime) -> _Read:
    """Everything up to the write: no lock is held."""
    farm = sheets_of_farm()
    told = as_kept(rows_of_folder(folder, farm))
    found = sort_rows(told, farm)
    if found.faults:
        raise RowsRefused(found.faults, found)
    if together := _faults_together(farm, found):
        raise RowsRefused(together, found)
    names = Names.of_farm()
    touched = [names.plantings[code] for code in _named(found) if code in names.plantings]
    before = standing_of(touched)
    to_write, faults = ToWrite(now), Faults([])
    zone = ZoneInfo(told.the_farm.time_zone) if told.farm and not farm.farm else farm_zone()
    add_reference(found.new, names, to_write, faults)
    plants = add_plantings(found.new, names, to_write, faults)
    if not faults.found:
        add_records(found.new, plants, names, to_write, faults, zone)
        add_sales(found.new, names, to_write, faults, farm_day(now, zone))
    if faults.found:
        raise RowsRefused(faults.found, found)
    return _Read(found, to_write, before, touched)


def as_kept(read: FarmRows) -> FarmRows:
    """Units in their one spelling, closed days with their last day: as the tables hold them."""
    return replace(
        read,
        schedules=tuple(replace(row, unit=unit_name(row.unit)) for row in read.schedules),
        items=tuple(
            replace(row, unit=unit_name(row.unit), contains_unit=unit_name(row.contains_unit)) for row in read.items
        ),
        picks=tuple(replace(row, unit=unit_name(row.unit), also_unit=unit_name(row.also_unit)) for row in read.picks),
        market_days=tuple(replace(row, unit=unit_name(row.unit)) for row in read.market_days),
        closed_days=tuple(replace(row, last_day=row.last_day or row.first_day) for row in read.closed_days),
    )


def _faults_together(farm: FarmRows, found: Sorted) -> list[Fault]:
    """What only several rows show, those of the farm among them; what was wrong in the farm before is not said here."""
    both: dict[str, Any] = {
        sheet.name: (*getattr(farm, sheet.name), *(row.row for row in found.new.get(sheet.name, ())))
        for sheet in SHEETS
    }
    is_new = not farm.farm
    return [
        fault
        for fault in check_rows(FarmRows(**both), are_followed=True)
        if fault.row or (fault.row is None and is_new)
    ]


def _named(found: Sorted) -> set[str]:
    rows: list[NewRow[Any]] = [row for told in found.new.values() for row in told]
    return {code for row in rows if (code := getattr(row.row, "planting", ""))}


def _head(read: _Read, now: datetime, by: Person | None, once: Once) -> Entry:
    """The entry of the whole reading: who read what, and when."""
    count = sum(read.found.added.values())
    words = ngettext("Read %(n)s row from sheets: %(what)s", "Read %(n)s rows from sheets: %(what)s", count)
    what = ", ".join(f"{sheet} {number:,}" for sheet, number in read.found.added.items())
    return Entry(
        once_key=once.entry_key,
        body_hash=once.body,
        job=Job.READ,
        source=Source.SHEET,
        by=by,
        farm_day=farm_day(now),
        said_at=now,
        received_at=now,
        said=(words % {"n": f"{count:,}", "what": what})[:300],
        answer={"added": read.found.added, "there": dict(read.found.there)},
    )


def _taken_in(read: _Read, entry: Entry | None) -> TakenIn:
    without_place = sum(len(one.nowhere) for one in read.to_write.followed)
    return TakenIn(read.found.added, dict(read.found.there), without_place, len(read.to_write.stopped), entry)
