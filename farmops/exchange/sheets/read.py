"""A folder of sheets to the farm's rows: all faults are found, and nothing is guessed or left out silently."""

import difflib
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.notebook.names import key_of
from farmops.exchange.sheets.cells import CellFault, plain_text, value_of
from farmops.exchange.sheets.checks import check_rows
from farmops.exchange.sheets.column import Sheet
from farmops.exchange.sheets.columns import KEY, SHEETS
from farmops.exchange.sheets.folder import files_of_sheets
from farmops.exchange.sheets.table import Line, read_table
from farmops.planning import rows
from farmops.planning.rows import FarmRows, Fault, FaultsFound

MOST_FAULTS = 50  # listed of one sheet
MOST_SUGGESTIONS = 20  # unknown names of one column that a near one is looked for
MOST_COMPARED, LONGEST_COMPARED = 500, 60
FIELDS = {"from": "from_day", "to": "to_day"}
CLASSES: dict[str, type[rows.Row]] = {
    "farm": rows.Farm,
    "varieties": rows.Variety,
    "schedules": rows.ScheduleStage,
    "spaces": rows.Space,
    "seed_lots": rows.SeedLot,
    "plantings": rows.Planting,
    "stays": rows.Stay,
    "losses": rows.Loss,
    "walks": rows.Walk,
    "picks": rows.Pick,
    "items": rows.Item,
    "item_parts": rows.ItemPart,
    "outlets": rows.Outlet,
    "prices": rows.Price,
    "market_days": rows.MarketDay,
    "standing_orders": rows.StandingOrder,
    "box_counts": rows.BoxCount,
    "single_wants": rows.SingleWant,
    "closed_days": rows.ClosedDay,
    "waiting": rows.Waiting,
}
# (sheet, column) -> the sheet and column that defines the name.
DEFINED_IN = {
    ("schedules", "variety"): ("varieties", "variety"),
    ("schedules", "kind"): ("spaces", "kind"),
    ("seed_lots", "variety"): ("varieties", "variety"),
    ("plantings", "variety"): ("varieties", "variety"),
    ("plantings", "seed_lot"): ("seed_lots", "seed_lot"),
    ("stays", "planting"): ("plantings", "planting"),
    ("stays", "space"): ("spaces", "space"),
    ("stays", "moved_from"): ("spaces", "space"),
    ("losses", "planting"): ("plantings", "planting"),
    ("losses", "space"): ("spaces", "space"),
    ("walks", "planting"): ("plantings", "planting"),
    ("walks", "space"): ("spaces", "space"),
    ("picks", "planting"): ("plantings", "planting"),
    ("picks", "space"): ("spaces", "space"),
    ("item_parts", "item"): ("items", "item"),
    ("item_parts", "variety"): ("varieties", "variety"),
    ("prices", "item"): ("items", "item"),
    ("prices", "outlet"): ("outlets", "outlet"),
    ("standing_orders", "buyer"): ("outlets", "outlet"),
    ("standing_orders", "item"): ("items", "item"),
    ("box_counts", "box"): ("outlets", "outlet"),
    ("box_counts", "item"): ("items", "item"),
    ("single_wants", "outlet"): ("outlets", "outlet"),
    ("single_wants", "item"): ("items", "item"),
    ("closed_days", "outlet"): ("outlets", "outlet"),
    ("waiting", "planting"): ("plantings", "planting"),
    ("waiting", "space"): ("spaces", "space"),
}
# History may speak of markets and items that are no longer there: joined where known, kept where not.
MAY_BE_GONE = {("market_days", "market"): ("outlets", "outlet"), ("market_days", "item"): ("items", "item")}
HOMES = tuple(dict.fromkeys((*DEFINED_IN.values(), *MAY_BE_GONE.values())))


def read_folder(folder: Path) -> FarmRows:
    """Read every sheet of a farm that can be planned.

    Parameters
    ----------
    folder : Path
        Holds `<sheet>.csv`; sheets that are not needed may be missing.

    Raises
    ------
    FaultsFound
        With every fault: sheet, row, column, problem, remedy.
    """
    farm_rows = rows_of_folder(folder)
    if faults := check_rows(farm_rows):
        raise FaultsFound(first_of_each_sheet(faults))
    waiting = tuple(replace(row, product=row.product or row.reason) for row in farm_rows.waiting)
    return replace(farm_rows, waiting=waiting)


def rows_of_folder(folder: Path, known: FarmRows | None = None) -> FarmRows:
    """Read the sheets of a folder, each row by itself; what only several rows show is not checked yet.

    Parameters
    ----------
    folder : Path
    known : FarmRows or None
        A farm to which these sheets are added: names it knows need not stand in them, and its spelling is kept.

    Raises
    ------
    FaultsFound
        With every fault.
    """
    known = known or FarmRows()
    if not folder.is_dir():
        raise FaultsFound(
            [Fault(str(folder), None, "", _("There is no such folder."), _("Give the folder of the sheets."))]
        )
    faults: list[Fault] = []
    read: dict[str, Any] = {}  # what FarmRows is made of: a tuple of rows for each sheet
    missing: list[str] = []
    files = files_of_sheets(folder, faults)
    for sheet in SHEETS:
        if sheet.name in files:
            read[sheet.name] = _sheet_rows(sheet, read_table(files[sheet.name], sheet, faults), faults)
            continue
        missing.append(sheet.name)
        if sheet.needed and not getattr(known, sheet.name):
            faults.append(
                Fault(
                    sheet.name,
                    None,
                    "",
                    _("This sheet is missing."),
                    _("Add %(file)s: %(meaning)s.") % {"file": f"{sheet.name}.csv", "meaning": sheet.meaning},
                )
            )
    spellings = _spellings(read, known)
    suggestions = Suggestions(spellings)
    unsure = {fault.sheet for fault in faults}  # a name may be missing there only because its row is at fault
    for name, of_sheet in read.items():
        read[name] = tuple(_joined(name, row, spellings, unsure, suggestions, faults) for row in of_sheet)
    if faults:
        raise FaultsFound(first_of_each_sheet(faults))
    return FarmRows(**read, missing=tuple(missing))


def first_of_each_sheet(faults: list[Fault]) -> list[Fault]:
    """At most MOST_FAULTS of a sheet, then how many more: a wrong column would bury all others."""
    counts = Counter(fault.sheet for fault in faults)
    shown: Counter[str] = Counter()
    kept = []
    for fault in faults:
        shown[fault.sheet] += 1
        if shown[fault.sheet] <= MOST_FAULTS:
            kept.append(fault)
    for sheet, count in counts.items():
        if more := max(0, count - MOST_FAULTS):
            problem = ngettext("and %(more)d more.", "and %(more)d more.", more) % {"more": more}
            kept.append(Fault(sheet, None, "", problem, _("Put those above right first, then try again.")))
    return kept


class Suggestions:
    """Names that an unknown one may have meant; looked for only a few times a column, because looking takes long."""

    def __init__(self, spellings: dict[tuple[str, str], dict[str, str]]) -> None:
        self._spellings = spellings
        self._found: dict[tuple[str, str], dict[str, str]] = {}

    def of(self, name: str, place: tuple[str, str], home: tuple[str, str]) -> str:
        """The nearest name of the sheet and column `home`, or ""; `place` is where the unknown name stands."""
        key, found = key_of(name), self._found.setdefault(place, {})
        if key not in found:
            if len(found) >= MOST_SUGGESTIONS or len(key) > LONGEST_COMPARED:
                return ""
            known = [one for one in self._spellings[home] if len(one) <= LONGEST_COMPARED][:MOST_COMPARED]
            close = difflib.get_close_matches(key, known, n=1)
            found[key] = self._spellings[home][close[0]] if close else ""
        return found[key]


def _sheet_rows(sheet: Sheet, lines: list[Line], faults: list[Fault]) -> tuple[rows.Row, ...]:
    found: list[rows.Row] = []
    keys: dict[str, int] = {}
    for line in lines:
        before = len(faults)
        values: dict[str, Any] = {"row": line.row, "key": plain_text(line.texts.get(KEY.name, ""))}
        for column in sheet.columns:
            text = line.texts.get(column.name)
            if text is None:
                if column.required and not column.may_be_empty:
                    faults.append(
                        Fault(
                            sheet.name,
                            line.row,
                            column.name,
                            _("This cell is empty."),
                            _("Fill it in: %(meaning)s.") % {"meaning": column.meaning},
                        )
                    )
                continue
            try:
                values[FIELDS.get(column.name, column.name)] = value_of(text, column)
            except CellFault as fault:
                faults.append(Fault(sheet.name, line.row, column.name, fault.problem, fault.remedy))
        if values["key"] and values["key"] in keys:
            faults.append(
                Fault(
                    sheet.name,
                    line.row,
                    KEY.name,
                    _("Row %(row)d has the same key.") % {"row": keys[values["key"]]},
                    _("Give this row a key of its own, or take it out."),
                )
            )
        keys.setdefault(values["key"], line.row)
        if len(faults) == before:
            found.append(CLASSES[sheet.name](**values))
    return tuple(found)


def _spellings(read: dict[str, Any], known: FarmRows) -> dict[tuple[str, str], dict[str, str]]:
    """For each column that defines names: a name's key and its first spelling, that of the farm before all."""
    found: dict[tuple[str, str], dict[str, str]] = {home: {} for home in HOMES}
    for (sheet, column), spelled in found.items():
        for row in (*getattr(known, sheet), *read.get(sheet, ())):
            if name := getattr(row, column):
                spelled.setdefault(key_of(name), name)
    return found


def _joined(
    sheet: str,
    row: rows.Row,
    spellings: dict[tuple[str, str], dict[str, str]],
    unsure: set[str],
    suggestions: Suggestions,
    faults: list[Fault],
) -> rows.Row:
    """The row with each name spelled as where it is defined."""
    changed: dict[str, Any] = {}
    for home in HOMES:
        if home[0] == sheet and (name := getattr(row, home[1])):
            changed[home[1]] = spellings[home][key_of(name)]
    for (of_sheet, column), home in {**DEFINED_IN, **MAY_BE_GONE}.items():
        if of_sheet != sheet or not (name := getattr(row, column)):
            continue
        known = spellings[home]
        if key_of(name) in known:
            changed[column] = known[key_of(name)]
        elif (of_sheet, column) in DEFINED_IN and home[0] not in unsure:
            close = suggestions.of(name, (of_sheet, column), home)
            remedy = (
                _("Did you mean “%(name)s”?") % {"name": close}
                if close
                else _("Add it to the sheet %(sheet)s, or correct the name.") % {"sheet": home[0]}
            )
            problem = _("“%(name)s” does not stand in the sheet %(sheet)s.") % {
                "name": name[:80],
                "sheet": home[0],
            }
            faults.append(Fault(sheet, row.row, column, problem, remedy))
    return replace(row, **changed) if changed else row
