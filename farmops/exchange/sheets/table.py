"""One CSV file to rows of texts by column name; what is wrong with the file is said, with its row."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from django.utils.translation import gettext as _

from farmops.exchange.notebook.names import spelling
from farmops.exchange.sheets.column import Sheet
from farmops.exchange.sheets.columns import KEY
from farmops.planning.rows import Fault

MAX_BYTES = 20 * 2**20  # a farm's largest sheet, ten years of picks, has about 5
MAX_ROWS = 200_000
MAX_CELL = 20_000
MAX_COLUMNS = 500  # a sheet has up to about 25


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its line in the sheet, and its texts by column."""

    row: int
    texts: dict[str, str]


def read_table(path: Path, sheet: Sheet, faults: list[Fault]) -> list[Line]:
    """The rows of one file; whatever is wrong is added to `faults`."""
    text = _text(path, sheet, faults)
    if text is None:
        return []
    rows = _rows(text, sheet, faults)
    heading = next(((at, row) for at, row in enumerate(rows) if any(cell.strip() for cell in row)), None)
    if heading is None:
        faults.append(
            Fault(sheet.name, None, "", _("The file is empty."), _("Write its column names in the first row."))
        )
        return []
    at, names = heading[0], [spelling(cell).casefold().replace(" ", "_") for cell in heading[1]]
    if not _has_its_columns(names, at + 1, sheet, faults):
        return []
    lines = []
    for number, row in enumerate(rows[at + 1 :], at + 2):
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        if len(cells) > len(names) and any(cells[len(names) :]):
            faults.append(
                Fault(
                    sheet.name,
                    number,
                    "",
                    _("This row has more cells than there are columns."),
                    _("Put cells that contain a comma into quotes."),
                )
            )
            continue
        lines.append(Line(number, {name: cell for name, cell in zip(names, cells, strict=False) if cell}))
    return lines


def _text(path: Path, sheet: Sheet, faults: list[Fault]) -> str | None:
    try:
        size = path.stat().st_size
        raw = path.read_bytes() if size <= MAX_BYTES else b""
    except OSError as error:
        problem = _("The file cannot be opened: %(why)s.") % {"why": error.strerror or error}
        faults.append(Fault(sheet.name, None, "", problem, _("Put the file itself there, and let it be read.")))
        return None
    if size > MAX_BYTES:
        faults.append(
            Fault(
                sheet.name,
                None,
                "",
                _("The file has %(size)d MB; up to %(limit)d are read.")
                % {"size": size >> 20, "limit": MAX_BYTES >> 20},
                _("Save only this sheet, as CSV."),
            )
        )
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        faults.append(
            Fault(
                sheet.name,
                raw[: error.start].count(b"\n") + 1,
                "",
                _("The file is not UTF-8 text."),
                _("Save the sheet as “CSV UTF-8”."),
            )
        )
        return None
    if "\0" in text:
        faults.append(
            Fault(
                sheet.name,
                text[: text.index("\0")].count("\n") + 1,
                "",
                _("The file is not text."),
                _("Save the sheet as “CSV UTF-8”."),
            )
        )
        return None
    return text


def _rows(text: str, sheet: Sheet, faults: list[Fault]) -> list[list[str]]:
    first = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    rows: list[list[str]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for row in reader:
            too_much = len(rows) >= MAX_ROWS or len(row) > MAX_COLUMNS
            if too_much or max(map(len, row), default=0) > MAX_CELL:
                raise csv.Error("too long")
            rows.append(row)
    except csv.Error:
        faults.append(
            Fault(
                sheet.name,
                len(rows) + 1,
                "",
                _("From here on the file cannot be read."),
                _("Look for a quotation mark without its partner, or a row, cell or sheet that is far too long."),
            )
        )
    return rows


def _has_its_columns(names: list[str], row: int, sheet: Sheet, faults: list[Fault]) -> bool:
    known = [column.name for column in (*sheet.columns, KEY)]
    before = len(faults)
    for name in dict.fromkeys(names):
        if name and name not in known:
            faults.append(
                Fault(
                    sheet.name,
                    row,
                    name,
                    _("This sheet has no such column."),
                    _("Its columns are: %(known)s.") % {"known": ", ".join(known)},
                )
            )
        if name and names.count(name) > 1:
            faults.append(Fault(sheet.name, row, name, _("This column stands here twice."), _("Leave one of the two.")))
    for column in sheet.columns:
        if column.required and column.name not in names:
            faults.append(
                Fault(
                    sheet.name,
                    row,
                    column.name,
                    _("This column is missing."),
                    _("Add it: %(meaning)s.") % {"meaning": column.meaning},
                )
            )
    return len(faults) == before
