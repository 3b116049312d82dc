"""From bytes or pasted text to rows of cell texts that keep the sheet's own row numbers. Nothing is executed."""

import codecs
import csv
import io
import re
from dataclasses import dataclass

from django.utils.translation import gettext as _

from farmops.exchange.notebook.refusal import NotebookRefused

# A notebook of ten thousand rows takes about one megabyte; these bounds stop mistakes and bombs, not notebooks.
MAX_BYTES = 10 * 2**20
MAX_ROWS = 30_000
MAX_COLUMNS = 200
MAX_CELL = 5_000
MAX_LINES_IN_CELL = 40


class Exact(str):
    """The text of a cell that the sheet itself knew as a number: its decimal mark needs no guessing."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the number that the sheet shows beside it, and its cells as text ("" = empty)."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of a file; `name` is "" where the file has only one and no name."""

    name: str
    rows: tuple[Row, ...]
    empty_rows: int


def decode(source: bytes | str) -> tuple[Sheet, ...]:
    """All sheets of a file or of pasted text.

    Raises
    ------
    NotebookRefused
        If it is empty, too large, or not a sheet.
    """
    if len(source) > MAX_BYTES:
        raise NotebookRefused(
            _("This file has %(size).0f MB; a notebook may have up to %(limit).0f MB.")
            % {"size": len(source) / 2**20, "limit": MAX_BYTES / 2**20},
            _("Save only the sheet with the market days, without pictures, as CSV, and try again."),
        )
    if isinstance(source, str):
        return (sheet_of_text(_clean_paste(source)),)
    if not source.strip(b"\x00 \t\r\n"):
        raise nothing_there()
    if source.startswith(b"PK\x03\x04") or source.startswith(b"PK\x05\x06"):
        from farmops.exchange.notebook.workbook import sheets_of_workbook

        return sheets_of_workbook(source)
    _refuse_other_kinds(source)
    return (sheet_of_text(text_of_bytes(source)),)


def nothing_there() -> NotebookRefused:
    return NotebookRefused(
        _("There is nothing in it."), _("Choose the sheet with your market days, or paste its rows, heading included.")
    )


OTHER_KINDS = (
    (re.compile(rb"%PDF"), "PDF"),
    (re.compile(rb"\x89PNG|\xff\xd8\xff|GIF8|II\*\x00|MM\x00\*|BM.{4}\x00\x00\x00\x00|.{4}ftyp", re.DOTALL), "picture"),
    (re.compile(rb"RIFF.{4}WEBP", re.DOTALL), "picture"),
    (re.compile(rb"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), "xls"),
    (re.compile(rb"\x1f\x8b|BZh|7z\xbc\xaf|Rar!|\xfd7zXZ"), "packed"),
    (re.compile(rb"\{\\rtf"), "letter"),
    (re.compile(rb"\s*(<!doctype|<html|<\?xml|<table)", re.IGNORECASE), "page"),
)


def other_kind(kind: str) -> NotebookRefused:
    """The words for a file of another kind."""
    as_sheet = _("Open it in your spreadsheet program, save it as XLSX or CSV, and try again.")
    said = {
        "PDF": (_("This is a PDF, not a sheet."), _("Choose the sheet that it was printed from, as XLSX or CSV.")),
        "picture": (_("This is a picture, not a sheet."), _("Type the rows into a sheet, or paste them here.")),
        "xls": (_("This is an old .xls file, or a sheet locked with a password."), as_sheet),
        "ods": (_("This is an .ods sheet."), as_sheet),
        "numbers": (_("This is a .numbers sheet."), _("Export it from Numbers as XLSX or CSV, and try again.")),
        "xlsb": (_("This is an .xlsb sheet."), as_sheet),
        "packed": (_("This is a packed folder."), _("Unpack it and choose the sheet inside.")),
        "letter": (_("This is a text document, not a sheet."), _("Copy its table into a sheet, or paste it here.")),
        "page": (_("This is a web page, not a sheet."), as_sheet),
        "binary": (_("This is not a sheet that can be read."), _("Save the sheet as XLSX or CSV, and try again.")),
        "broken": (_("This XLSX file is damaged."), as_sheet),
    }
    return NotebookRefused(*said[kind])


def _refuse_other_kinds(source: bytes) -> None:
    for pattern, kind in OTHER_KINDS:
        if pattern.match(source):
            raise other_kind(kind)


def text_of_bytes(source: bytes) -> str:
    """UTF-8 (with or without mark), UTF-16 by its mark or its look, else Windows-1252."""
    for mark, encoding in ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le")):
        if source.startswith(mark):
            return _decoded(source[len(mark) :], encoding)
    if source.startswith(codecs.BOM_UTF16_BE):
        return _decoded(source[2:], "utf-16-be")
    head = source[:400]
    if source[:8192].count(0):
        # Western text in UTF-16 without a mark has a zero in every other byte.
        even, odd = head[0::2].count(0), head[1::2].count(0)
        if min(even, odd) * 8 <= max(even, odd) and max(even, odd) * 6 >= len(head):
            return _decoded(source, "utf-16-be" if even > odd else "utf-16-le")
        raise other_kind("binary")
    try:
        return _plain(source.decode("utf-8"))
    except UnicodeDecodeError as error:
        if _looks_like_utf8(source, error):
            raise _cut_character(source[: error.start].count(b"\n") + 1) from error
    return _decoded(source, "cp1252")


def _looks_like_utf8(source: bytes, error: UnicodeDecodeError) -> bool:
    """Whether broken text was UTF-8: whole characters of several bytes elsewhere, or a half one at the very end."""
    if re.search(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}", source):
        return True
    tail = source[error.start :]
    at_the_end = error.reason == "unexpected end of data"
    return at_the_end and (len(tail) >= 2 or tail in (b"\xc2", b"\xc3"))


def _decoded(source: bytes, encoding: str) -> str:
    try:
        return _plain(source.decode(encoding))
    except UnicodeDecodeError as error:
        before = source[: error.start].decode(encoding, "ignore")
        raise _cut_character(before.count("\n") + 1) from error


def _cut_character(row: int) -> NotebookRefused:
    return NotebookRefused(
        _("A character in row %(row)d is broken or cut off, so the file may not be whole.") % {"row": row},
        _("Save the sheet again as CSV (UTF-8) or XLSX, and try again. Nothing was taken in."),
        row=row,
    )


def _plain(text: str) -> str:
    """`text` unless it is binary after all: control characters do not stand in notebooks."""
    odd = len(re.findall(r"[\x00-\x08\x0e-\x1a\x1c-\x1f]", text))
    if odd > max(2, len(text) // 200) or "\x00" in text[:2000]:
        raise other_kind("binary")
    return re.sub(r"[\x00-\x08\x0e-\x1f\x7f]", "", text)


def _clean_paste(text: str) -> str:
    cleaned = text.encode("utf-8", "replace").decode("utf-8")
    if not cleaned.strip("\ufeff \t\r\n\x00"):
        raise nothing_there()
    return _plain(cleaned.removeprefix("\ufeff"))


def sheet_of_text(text: str) -> Sheet:
    """Rows of delimited text; the mark between cells is the one that cuts the rows most evenly."""
    if not text.strip():
        raise nothing_there()
    hint = re.match(r"sep=(.)\r?\n", text)
    delimiter = hint.group(1) if hint else _delimiter(text)
    text = text[hint.end() :] if hint else text
    rows: list[Row] = []
    empty = 0
    try:
        for number, cells in enumerate(
            csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), 2 if hint else 1
        ):
            row = tidy_row(number, cells)
            if not row.cells:
                empty += 1
                continue
            rows.append(row)
            refuse_too_many(len(rows))
    except csv.Error as error:
        raise _open_quote(len(rows) + empty + 1) from error
    if not rows:
        raise nothing_there()
    return Sheet("", tuple(rows), empty)


def _open_quote(row: int) -> NotebookRefused:
    return NotebookRefused(
        _("A quotation mark in row %(row)d is never closed.") % {"row": row},
        _("Take the quotation mark out, or save the sheet as XLSX, and try again."),
        row=row,
    )


def _delimiter(text: str) -> str:
    sample = "".join(text[:20_000].splitlines(keepends=True)[:60])
    best, best_score = ",", 0.0
    for mark in ("\t", ";", ",", "|"):
        try:
            widths = [len(row) for row in csv.reader(io.StringIO(sample, newline=""), delimiter=mark) if any(row)]
        except csv.Error:
            continue
        if not widths:
            continue
        usual = max(set(widths), key=lambda width: (widths.count(width), width))
        score = (usual - 1) * widths.count(usual) / len(widths)
        if score > best_score:
            best, best_score = mark, score
    return best


def tidy_row(number: int, cells: list[str]) -> Row:
    """Spaces cut (no-break ones too), empty cells at the end dropped, limits kept."""
    tidy = [trim(cell) for cell in cells]
    while tidy and not tidy[-1]:
        tidy.pop()
    if len(tidy) > MAX_COLUMNS:
        raise NotebookRefused(
            _("Row %(row)d has more than %(limit)d columns.") % {"row": number, "limit": MAX_COLUMNS},
            _("Keep only the columns of the market days, and try again."),
            row=number,
        )
    for cell in tidy:
        if cell.count("\n") > MAX_LINES_IN_CELL:
            raise _open_quote(number)
        if len(cell) > MAX_CELL:
            raise NotebookRefused(
                _("A cell in row %(row)d holds more than %(limit)d characters.") % {"row": number, "limit": MAX_CELL},
                _("Shorten it, and try again."),
                row=number,
            )
    return Row(number, tuple(tidy))


def trim(cell: str) -> str:
    """The cell without spaces around it; a number of the sheet stays known as one."""
    if isinstance(cell, Exact):
        return cell
    return cell.strip(" \t\r\n\v\f\u00a0\u2007\u202f\u200b\u2060\ufeff")


def refuse_too_many(rows: int) -> None:
    """Stop at the limit of rows."""
    if rows > MAX_ROWS:
        raise NotebookRefused(
            _("This sheet has more than %(limit)d rows.") % {"limit": MAX_ROWS},
            _("Keep the last few years of market days, and try again."),
            row=rows,
        )
