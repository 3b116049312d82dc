"""XLSX files to sheets of cell texts: values only, within limits; formulas are shown, never worked out."""

import io
import re
import zipfile
import zlib
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from openpyxl import load_workbook

from farmops.exchange.notebook.cells import MAX_COLUMNS, MAX_ROWS, Exact, Row, Sheet, refuse_too_many, tidy_row
from farmops.exchange.notebook.kinds import nothing_there, other_kind
from farmops.exchange.notebook.refusal import NotebookRefused

MAX_UNPACKED = 40 * 2**20
MAX_PARTS = 2_000
MAX_SHEETS = 24
# A sheet may carry formats down to its last possible row; after so many empty rows in a run nothing more is looked for.
EMPTY_RUN = 5_000


def sheets_of_workbook(source: bytes) -> tuple[Sheet, ...]:
    """All visible sheets that hold anything.

    Raises
    ------
    NotebookRefused
        If the file is another kind of package, damaged, or unpacks to more than it may.
    """
    formulas = _check_package(source)
    try:
        values = load_workbook(io.BytesIO(source), read_only=True, data_only=True, keep_links=False)
        asked = load_workbook(io.BytesIO(source), read_only=True, keep_links=False) if formulas else None
        sheets = []
        for sheet in values.worksheets[:MAX_SHEETS]:
            if sheet.sheet_state == "visible" or len(values.worksheets) == 1:
                sheets.append(_read(sheet, asked[sheet.title] if asked else None))
    except NotebookRefused:
        raise
    except Exception as error:
        # openpyxl raises nearly anything on damaged or hostile parts; every one of them means the same to a grower.
        raise other_kind("broken") from error
    if not any(sheet.rows for sheet in sheets):
        raise nothing_there()
    return tuple(sheet for sheet in sheets if sheet.rows)


def _check_package(source: bytes) -> bool:
    """Refuse what is no XLSX or too large unpacked; answer whether it holds formulas."""
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
            sheets = [name for name in names if name.startswith("xl/worksheets/")]
            return any(re.search(rb"<(\w+:)?f[ >/]", package.read(name)) for name in sheets)
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
    for number, cells in enumerate(sheet.iter_rows(max_col=MAX_COLUMNS + 1), 1):
        formulas = next(iter(asked_rows), ()) if asked_rows is not None else ()
        row = tidy_row(number, _texts(cells, formulas))
        if row.cells:
            rows.append(row)
            empty, run = empty + run, 0
            refuse_too_many(len(rows))
        else:
            run += 1
            if run > EMPTY_RUN or number > 4 * MAX_ROWS:
                break
    return Sheet(sheet.title, tuple(rows), empty + run)


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
