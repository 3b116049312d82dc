"""A folder of sheets to the farm's rows: all faults are found, and nothing is guessed or left out silently."""

import difflib
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _

from farmops.exchange.notebook.names import key_of
from farmops.exchange.sheets.cells import CellFault, value_of
from farmops.exchange.sheets.checks import check_rows
from farmops.exchange.sheets.column import Sheet
from farmops.exchange.sheets.columns import KEY, SHEETS
from farmops.exchange.sheets.table import Line, read_table
from farmops.planning import rows
from farmops.planning.rows import FarmRows, Fault, FaultsFound

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
    ("closed_days", "outlet"): ("outlets", "outlet"),
    ("waiting", "planting"): ("plantings", "planting"),
    ("waiting", "space"): ("spaces", "space"),
}
# History may speak of markets and items that are no longer there: joined where known, kept where not.
MAY_BE_GONE = {("market_days", "market"): ("outlets", "outlet"), ("market_days", "item"): ("items", "item")}


def read_folder(folder: Path) -> FarmRows:
    """Read every sheet of a farm.

    Parameters
    ----------
    folder : Path
        Holds `<sheet>.csv`; sheets that are not needed may be missing.

    Raises
    ------
    FaultsFound
        With every fault: sheet, row, column, problem, remedy.
    """
    if not folder.is_dir():
        raise FaultsFound(
            [Fault(str(folder), None, "", _("There is no such folder."), _("Give the folder of the sheets."))]
        )
    faults: list[Fault] = []
    read: dict[str, Any] = {}  # what FarmRows is made of: a tuple of rows for each sheet
    missing: list[str] = []
    for sheet in SHEETS:
        path = folder / f"{sheet.name}.csv"
        if path.is_file():
            read[sheet.name] = _sheet_rows(sheet, read_table(path, sheet, faults), faults)
            continue
        missing.append(sheet.name)
        if sheet.needed:
            faults.append(
                Fault(
                    sheet.name,
                    None,
                    "",
                    _("This sheet is missing."),
                    _("Add %(file)s: %(meaning)s.") % {"file": path.name, "meaning": sheet.meaning},
                )
            )
    faults += _unknown_files(folder)
    spellings = _spellings(read)
    unsure = {fault.sheet for fault in faults}  # a name may be missing there only because its row is at fault
    for name, of_sheet in read.items():
        read[name] = tuple(_joined(name, row, spellings, unsure, faults) for row in of_sheet)
    farm_rows = FarmRows(**read, missing=tuple(missing))
    if not faults:
        faults += check_rows(farm_rows)
    if faults:
        raise FaultsFound(faults)
    return farm_rows


def _sheet_rows(sheet: Sheet, lines: list[Line], faults: list[Fault]) -> tuple[rows.Row, ...]:
    found: list[rows.Row] = []
    keys: dict[str, int] = {}
    for line in lines:
        before = len(faults)
        values: dict[str, Any] = {"row": line.row, "key": line.texts.get(KEY.name, "")}
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


def _spellings(read: dict[str, Any]) -> dict[tuple[str, str], dict[str, str]]:
    wanted = {*DEFINED_IN.values(), *MAY_BE_GONE.values()}
    return {
        (sheet, column): {key_of(name): name for row in reversed(read.get(sheet, ())) if (name := getattr(row, column))}
        for sheet, column in wanted
    }


def _joined(
    sheet: str,
    row: rows.Row,
    spellings: dict[tuple[str, str], dict[str, str]],
    unsure: set[str],
    faults: list[Fault],
) -> rows.Row:
    """The row with each name spelled as where it is defined."""
    changed: dict[str, Any] = {}
    for (of_sheet, column), home in {**DEFINED_IN, **MAY_BE_GONE}.items():
        if of_sheet != sheet or not (name := getattr(row, column)):
            continue
        known = spellings[home]
        if key_of(name) in known:
            changed[column] = known[key_of(name)]
        elif (of_sheet, column) in DEFINED_IN and home[0] not in unsure:
            close = difflib.get_close_matches(key_of(name), known, n=1)
            remedy = (
                _("Did you mean “%(name)s”?") % {"name": known[close[0]]}
                if close
                else _("Add it to the sheet %(sheet)s, or correct the name.") % {"sheet": home[0]}
            )
            problem = _("“%(name)s” does not stand in the sheet %(sheet)s.") % {"name": name, "sheet": home[0]}
            faults.append(Fault(sheet, row.row, column, problem, remedy))
    return replace(row, **changed) if changed else row


def _unknown_files(folder: Path) -> list[Fault]:
    known = {f"{sheet.name}.csv" for sheet in SHEETS}
    return [
        Fault(
            path.stem,
            None,
            "",
            _("There is no sheet of this name."),
            _("Rename it or take it out; sheets are: %(names)s.")
            % {"names": ", ".join(sheet.name for sheet in SHEETS)},
        )
        for path in sorted(folder.glob("*.csv"))
        if path.name not in known
    ]
