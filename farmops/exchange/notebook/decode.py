"""From bytes or pasted text to rows of cell texts that keep the sheet's own row numbers. Nothing is executed."""

import codecs
import csv
import io
import re

from django.utils.translation import gettext as _

from farmops.exchange.notebook.cells import MAX_BYTES, Row, Sheet, open_quote, refuse_too_many, tidy_row
from farmops.exchange.notebook.kinds import nothing_there, other_kind, refuse_other_kinds
from farmops.exchange.notebook.refusal import NotebookRefused
from farmops.exchange.notebook.workbook import sheets_of_workbook


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
        return sheets_of_workbook(source)
    refuse_other_kinds(source)
    return (sheet_of_text(text_of_bytes(source)),)


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
        raise open_quote(len(rows) + empty + 1) from error
    if not rows:
        raise nothing_there()
    return Sheet("", tuple(rows), empty)


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
