"""XLSX files to sheets of cell texts: values only, within limits; formulas are shown, never worked out."""

import io
import re
import zipfile
import zlib
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from itertools import repeat
from operator import is_not
from typing import Any

from django.utils.translation import gettext as _
from openpyxl import load_workbook
from openpyxl.cell.read_only import EMPTY_CELL
from openpyxl.reader.excel import ExcelReader

from farmops.exchange.notebook.cells import MAX_COLUMNS, MAX_ROWS, Exact, Row, Sheet, refuse_too_many, tidy_row
from farmops.exchange.notebook.kinds import nothing_there, other_kind
from farmops.exchange.notebook.refusal import NotebookRefused

MAX_UNPACKED = 40 * 2**20
MAX_PARTS = 2_000
# What reading costs, counted before it is begun: marks, rows and cells. A cell with a value has 4 marks; empty ones,
# of which millions pack into kilobytes, take as long to read.
MAX_WORK = 1_600_000
LIGHT_PARTS = ("xl/worksheets/", "xl/sharedStrings", "xl/pivotCache/", "xl/media/", "xl/drawings/", "xl/charts/")
HEAVY = 20  # a mark of a style costs as much as so many of a cell
MAX_ROWS_SEEN = 10 * MAX_ROWS  # of all sheets together, empty ones included
# A sheet may carry formats down to its last possible row; after so many empty rows in a run nothing more is looked for.
EMPTY_RUN = 5_000

_CELL = re.compile(rb"<(?:\w+:)?c[\s/>]")
_STRING = re.compile(rb"<(?:\w+:)?si[\s/>]")
_ROW = re.compile(rb"<(?:\w+:)?row[\s/>]")
# A formula right before the end of its cell, or before a value that is empty: its result was never saved.
_UNSAVED = re.compile(
    rb"(?:</(?:\w+:)?f\s*>|<(?:\w+:)?f(?:\s[^<>]*)?/>)\s*"
    rb"(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v\s*>\s*</(?:\w+:)?v\s*>)?\s*</(?:\w+:)?c\s*>"
)


def sheets_of_workbook(source: bytes) -> tuple[Sheet, ...]:
    """All visible sheets that hold anything.

    Raises
    ------
    NotebookRefused
        If the file is another kind of package, damaged, or unpacks to more than it may.
    """
    formulas = _check_package(source)
    try:
        _refuse_shared_parts(source)
        values = load_workbook(io.BytesIO(source), read_only=True, data_only=True, keep_links=False)
        asked = load_workbook(io.BytesIO(source), read_only=True, keep_links=False) if formulas else None
        sheets: list[Sheet] = []
        seen = 0
        for sheet in values.worksheets:
            if sheet.sheet_state == "visible" or len(values.worksheets) == 1:
                sheets.append(_read(sheet, asked[sheet.title] if asked else None))
                seen += len(sheets[-1].rows) + sheets[-1].empty_rows
                if seen > MAX_ROWS_SEEN:
                    raise _too_much()
    except NotebookRefused:
        raise
    except Exception as error:
        # openpyxl raises nearly anything on damaged or hostile parts; every one of them means the same to a grower.
        raise other_kind("broken") from error
    if not any(sheet.rows for sheet in sheets):
        raise nothing_there()
    return tuple(sheet for sheet in sheets if sheet.rows)


def _check_package(source: bytes) -> bool:
    """Refuse what is no XLSX or takes too long; answer whether it holds formulas without a saved result."""
    try:
        with zipfile.ZipFile(io.BytesIO(source)) as package:
            parts = package.infolist()
            names = {part.filename for part in parts}
            if "xl/workbook.xml" not in names:
                raise other_kind(_kind_of_package(package, names))
            if len(parts) > MAX_PARTS or sum(part.file_size for part in parts) > MAX_UNPACKED:
                raise NotebookRefused(
                    _("This XLSX file unpacks to more than %(limit)d MB.") % {"limit": MAX_UNPACKED // 2**20},
                    _("Save only the sheet with the market days as CSV, and try again."),
                )
            return _has_unsaved(package)
    except (
        zipfile.BadZipFile,
        NotImplementedError,
        RuntimeError,
        OSError,
        EOFError,
        ValueError,
        zlib.error,
    ) as e:
        raise other_kind("broken") from e


def _has_unsaved(package: zipfile.ZipFile) -> bool:
    """Whether some formula has no saved result; refused where reading would take too long."""
    work, unsaved = 0, False
    for part in package.infolist():
        content = package.read(part)
        work += content.count(b"<") * (1 if part.filename.startswith(LIGHT_PARTS) else HEAVY)
        if part.filename.startswith("xl/worksheets/") and work <= MAX_WORK:
            work += sum(1 for _found in _CELL.finditer(content)) + sum(1 for _found in _ROW.finditer(content))
            unsaved = unsaved or _UNSAVED.search(content) is not None
        elif part.filename.startswith("xl/sharedStrings") and work <= MAX_WORK:
            work += 2 * sum(1 for _found in _STRING.finditer(content))
        if work > MAX_WORK:
            raise _too_much()
    if unsaved and 2 * work > MAX_WORK:  # such a file is read twice
        raise _too_much()
    return unsaved


def _refuse_shared_parts(source: bytes) -> None:
    """Each sheet has a part of its own: one that thousands of sheets share would be read thousands of times."""
    reader = ExcelReader(io.BytesIO(source), read_only=True, keep_links=False)
    with reader.archive:
        reader.read_manifest()
        reader.read_workbook()
        parts = [link.target for _sheet, link in reader.parser.find_sheets()]
    if len(set(parts)) < len(parts):
        raise other_kind("broken")


def _too_much() -> NotebookRefused:
    return NotebookRefused(
        _("This XLSX file has too many cells or rows to read, empty ones included."),
        _("Save only the sheet with the market days as CSV, and try again."),
    )


def _kind_of_package(package: zipfile.ZipFile, names: set[str]) -> str:
    if "mimetype" in names and b"opendocument" in package.open("mimetype").read(200):
        return "ods"
    if any(name.startswith("Index/") or name == "Index.zip" for name in names):
        return "numbers"
    if "xl/workbook.bin" in names:
        return "xlsb"
    return "letter" if any(name.startswith("word/") for name in names) else "packed"


def _read(sheet: Any, asked: Any) -> Sheet:  # openpyxl carries no types
    sheet.reset_dimensions()
    asked_rows: Iterable[Any] | None = None
    if asked is not None:
        asked.reset_dimensions()
        asked_rows = iter(asked.iter_rows(max_col=MAX_COLUMNS + 1))
    rows: list[Row] = []
    empty = run = 0
    unread_from = None
    for number, cells in enumerate(sheet.iter_rows(max_col=MAX_COLUMNS + 1), 1):
        if run >= EMPTY_RUN or number > 4 * MAX_ROWS:
            unread_from = number
            break
        formulas = next(iter(asked_rows), ()) if asked_rows is not None else ()
        row = tidy_row(number, [] if _is_blank(cells) and _is_blank(formulas) else _texts(cells, formulas))
        if row.cells:
            rows.append(row)
            empty, run = empty + run, 0
            refuse_too_many(len(rows))
        else:
            run += 1
    return Sheet(sheet.title, tuple(rows), empty + run, unread_from)


def _is_blank(cells: Iterable[Any]) -> bool:
    return not any(map(is_not, cells, repeat(EMPTY_CELL)))


def _texts(cells: Iterable[Any], formulas: Iterable[Any]) -> list[str]:
    filled = [(at, cell) for at, cell in enumerate(cells) if cell.value is not None]
    texts = [""] * (filled[-1][0] + 1 if filled else 0)
    for at, cell in filled:
        texts[at] = cell_text(cell.value, cell.number_format if isinstance(cell.value, int | float) else "")
    for at, cell in enumerate(formulas):
        # A formula whose result was never saved: its own text stands in the cell, so that it can be asked about.
        if isinstance(cell.value, str) and cell.value.startswith("=") and not (at < len(texts) and texts[at]):
            texts += [""] * (at + 1 - len(texts))
            texts[at] = cell.value
    return texts


def cell_text(value: object, number_format: str = "") -> str:
    """The text of a cell as a person would type it, without doubt about dates and decimal marks."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float | Decimal):
        return _number_text(value, number_format)
    if isinstance(value, datetime):
        if value.year < 1901:
            return f"{value:%H:%M}"
        return f"{value:%Y-%m-%d}" if value.time() == time(0) else f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, timedelta):
        minutes = round(value.total_seconds() / 60)
        return f"{minutes // 60:02d}:{minutes % 60:02d}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return f"{value:%H:%M}"
    return str(value)


def _number_text(value: int | float | Decimal, number_format: str) -> Exact:
    if "%" in number_format:
        return Exact(f"{float(value) * 100:.6g}%")
    # Fifteen digits are what a sheet keeps; the sixteenth is the noise of binary fractions.
    text = f"{Decimal(f'{value:.15g}'):f}"
    return Exact(text.rstrip("0").rstrip(".") if "." in text else text)
