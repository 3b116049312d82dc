"""Cells, rows and sheets as text, with the limits of what is taken."""

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
    """One sheet of a file; `name` is "" where the file has only one and no name.

    `unread_from` is the first row not looked at, because thousands of empty rows stand above it; None: all were.
    """

    name: str
    rows: tuple[Row, ...]
    empty_rows: int
    unread_from: int | None = None


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
            raise open_quote(number)
        if len(cell) > MAX_CELL:
            raise NotebookRefused(
                _("A cell in row %(row)d holds more than %(limit)d characters.") % {"row": number, "limit": MAX_CELL},
                _("Shorten it, and try again."),
                row=number,
            )
    return Row(number, tuple(tidy))


def trim(cell: str) -> str:
    """The cell without spaces around it; a number of the sheet stays known as one."""
    if not cell or isinstance(cell, Exact):
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


def open_quote(row: int) -> NotebookRefused:
    """The words for a cell that swallows the rows after it."""
    return NotebookRefused(
        _("A quotation mark in row %(row)d is never closed.") % {"row": row},
        _("Take the quotation mark out, or save the sheet as XLSX, and try again."),
        row=row,
    )
