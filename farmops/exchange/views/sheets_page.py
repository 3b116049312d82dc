"""What the page of dropped sheets shows: of each sheet how many rows are new, there already or at fault."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from farmops.exchange.farm_sheets import files_of, folder_of
from farmops.exchange.read_sheets.said import notices_of
from farmops.exchange.read_sheets.take_in import RowsRefused, TakenIn, read_sheets
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import MOST_FAULTS
from farmops.planning.rows import Fault, FaultsFound


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One sheet.

    Attributes
    ----------
    added, there : int or None
        None: not looked at, because a row somewhere cannot be read.
    at_fault : str
        Rows to put right; "50+" where not all are listed.
    """

    name: str
    added: int | None
    there: int | None
    at_fault: str


@dataclass(frozen=True, slots=True)
class SheetsLook:
    """What reading these sheets in would do; nothing was written."""

    lines: Sequence[SheetLine]
    faults: Sequence[tuple[str, Sequence[Fault]]] = ()  # by sheet
    notices: Sequence[str] = ()
    files: int = 0

    @property
    def added(self) -> int:
        return sum(line.added or 0 for line in self.lines)

    @property
    def there(self) -> int:
        return sum(line.there or 0 for line in self.lines)

    @property
    def fault_count(self) -> int:
        """Those that are listed."""
        return sum(min(len(faults), MOST_FAULTS) for _sheet, faults in self.faults)

    @property
    def are_more(self) -> bool:
        return any(len(faults) > MOST_FAULTS for _sheet, faults in self.faults)

    @property
    def is_counted(self) -> bool:
        """Every row could be read, so that it is known which are new."""
        return all(line.added is not None for line in self.lines)

    @property
    def may_read(self) -> bool:
        return not self.faults and self.added > 0


def look_at(packed: bytes, now: datetime) -> SheetsLook:
    """Find out what reading a bundle in would do: the same checks, no lock."""
    names = [name.removesuffix(".csv") for name in files_of(packed)]
    with folder_of(packed) as folder:
        try:
            taken_in = read_sheets(folder, now=now, dry_run=True)
        except RowsRefused as refused:
            return _refused(refused.faults, names, TakenIn(refused.found.added, refused.found.there))
        except FaultsFound as found:
            return _refused(found.faults, names, None)
    sheets = _in_order([*taken_in.added, *taken_in.there, *(name for name in names if name in _ORDER)])
    lines = [SheetLine(name, taken_in.added.get(name, 0), taken_in.there.get(name, 0), "") for name in sheets]
    return SheetsLook(lines, notices=notices_of(taken_in), files=len(names))


_ORDER = {sheet.name: number for number, sheet in enumerate(SHEETS)}


def _in_order(names: Sequence[str]) -> list[str]:
    return sorted(dict.fromkeys(names), key=lambda name: (_ORDER.get(name, len(_ORDER)), name))


def _refused(faults: Sequence[Fault], names: Sequence[str], counted: TakenIn | None) -> SheetsLook:
    by_sheet: dict[str, list[Fault]] = defaultdict(list)
    for fault in faults:
        by_sheet[fault.sheet].append(fault)
    lines = [
        SheetLine(
            name,
            None if counted is None else counted.added.get(name, 0),
            None if counted is None else counted.there.get(name, 0),
            _rows_at_fault(by_sheet.get(name, ())),
        )
        for name in _in_order([*names, *by_sheet])
    ]
    return SheetsLook(lines, [(name, by_sheet[name]) for name in _in_order(list(by_sheet))], files=len(names))


def _rows_at_fault(faults: Sequence[Fault]) -> str:
    rows = len({fault.row for fault in faults if fault.row is not None})
    if len(faults) > MOST_FAULTS:
        return f"{rows}+"
    return str(rows or len(faults) or "")
