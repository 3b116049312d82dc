"""Find the table in a sheet: its heading (one row or two), its rows; titles, totals and empty rows counted."""

import re
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.notebook.cells import Exact, Row, Sheet
from farmops.exchange.notebook.columns import UNITS, field_of, fold
from farmops.exchange.notebook.doubts import Choice, Questions
from farmops.exchange.notebook.refusal import NotebookRefused

LOOK_AT = 40  # rows in which a heading is looked for
TOTALS = re.compile(r"(grand |sub ?|week |day |month |year )?(totals?|sums?|averages?|avg|mean)\b", re.IGNORECASE)
NO_HEADING = "0"


@dataclass(frozen=True, slots=True)
class Table:
    """The table found.

    Attributes
    ----------
    sheet : str
        The sheet's name, "" for text.
    headings : tuple of str
        One for each column; two heading rows are joined ("Amount lb").
    heading_rows : tuple of int
        The sheet's row numbers of the heading, () without one.
    rows : tuple of Row
        What is below it.
    title_rows, total_rows, empty_rows : int
        Left out.
    unread_from : int or None
        The first row not looked at, because too many empty rows stand above it.
    """

    sheet: str
    headings: tuple[str, ...]
    heading_rows: tuple[int, ...]
    rows: tuple[Row, ...]
    title_rows: int = 0
    total_rows: int = 0
    empty_rows: int = 0
    unread_from: int | None = None

    @property
    def left_out_in_words(self) -> str:
        """ "1 total row, 800 empty rows left out", or "" when nothing was."""
        parts = []
        if self.total_rows:
            parts.append(ngettext("%(n)d total row", "%(n)d total rows", self.total_rows) % {"n": self.total_rows})
        if self.empty_rows:
            parts.append(ngettext("%(n)d empty row", "%(n)d empty rows", self.empty_rows) % {"n": self.empty_rows})
        if self.unread_from is not None:
            parts.append(
                _("row %(row)d and all below it (too many empty rows stand above)") % {"row": self.unread_from}
            )
        return _("%(parts)s left out") % {"parts": ", ".join(parts)} if parts else ""


def find_table(sheets: tuple[Sheet, ...], questions: Questions) -> Table:
    """The sheet that looks most like a notebook, and the table in it."""
    best = max(range(len(sheets)), key=lambda at: (_likeness(sheets[at]), len(sheets[at].rows), -at))
    if len(sheets) > 1:
        said = questions.ask(
            "sheet",
            _("The file has %(count)d sheets. Which one holds the market days?") % {"count": len(sheets)},
            tuple(Choice(sheet.name, sheet.name) for sheet in sheets),
            default=sheets[best].name,
        )
        best = next((at for at, sheet in enumerate(sheets) if sheet.name == said), best)
    return table_of(sheets[best], questions)


def _likeness(sheet: Sheet) -> int:
    return max((_known(row) for row in sheet.rows[:LOOK_AT]), default=0)


def _known(row: Row) -> int:
    """How many different fields the cells of a row name."""
    return len({name for cell in row.cells if len(cell) < 60 and (name := field_of(cell))})


def _is_heading(row: Row) -> bool:
    """Two known words make a heading; so does the date beside words of the farm's own (a column for each item)."""
    words = [cell for cell in row.cells if cell]
    dated = any(field_of(cell) == "date" for cell in words)
    plain = not any(isinstance(cell, Exact) or any(sign.isdigit() for sign in cell) for cell in words)
    return _known(row) >= 2 or (dated and plain and len(words) >= 3)


def _stands_above(head: list[Row], at: int) -> bool:
    """Four or more different words without a digit, right above a row with digits in two cells or more."""
    words = [cell for cell in head[at].cells if cell]
    if len(set(words)) < max(4, len(words)) or any(len(word) > 40 for word in words):
        return False
    if any(isinstance(cell, Exact) or any(sign.isdigit() for sign in cell) for cell in words):
        return False
    below = head[at + 1].cells if at + 1 < len(head) else ()
    return sum(any(sign.isdigit() for sign in cell) for cell in below) >= 2


def table_of(sheet: Sheet, questions: Questions) -> Table:
    """The table in one sheet; asks which row is the heading where none looks like one."""
    head = list(sheet.rows[:LOOK_AT])
    at = max(range(len(head)), key=lambda index: (_known(head[index]), -index))
    if not _is_heading(head[at]):
        at = next((index for index in range(len(head)) if _stands_above(head, index)), at)
    said = questions.answers.get("heading")
    if not (_is_heading(head[at]) or _stands_above(head, at)) or said is not None:
        asked = _ask_heading(head, at, questions)
        if asked is None:
            return _without_heading(sheet)
        at = asked
    headings, count = _headings(head, at)
    body = sheet.rows[at + count :]
    rows, totals = _without_totals(body, headings)
    if not rows:
        raise NotebookRefused(
            _("There is a heading in row %(row)d, but no rows below it.") % {"row": head[at].number},
            _("Add the market days below the heading, and try again."),
            row=head[at].number,
        )
    numbers = tuple(row.number for row in head[at : at + count])
    before = sum(1 for row in sheet.rows[:at])
    empty = sheet.empty_rows - (head[at].number - 1 - before)
    return Table(sheet.name, headings, numbers, rows, before, totals, max(0, empty), sheet.unread_from)


def _ask_heading(head: list[Row], best: int | None, questions: Questions) -> int | None:
    if len(head) < 2 and all(len(row.cells) < 2 for row in head):
        raise NotebookRefused(
            _("This does not look like a market notebook."),
            _("It needs a heading such as Date, Market, Item, Brought, Left over, and a row for each item and day."),
            row=head[0].number if head else None,
        )
    shown = [(row, " | ".join(cell for cell in row.cells if cell)[:80]) for row in head[:12]]
    choices = [
        Choice(str(row.number), _("Row %(row)d: %(text)s") % {"row": row.number, "text": text}) for row, text in shown
    ]
    choices.append(Choice(NO_HEADING, _("There is no heading")))
    known = best is not None and (_is_heading(head[best]) or _stands_above(head, best))
    default = str(head[best].number) if known and best is not None else None
    said = questions.ask("heading", _("Which row is the heading?"), tuple(choices), default=default)
    if said is None or said == NO_HEADING:
        return None
    return next((at for at, row in enumerate(head) if str(row.number) == said), best)


def _without_heading(sheet: Sheet) -> Table:
    width = max(len(row.cells) for row in sheet.rows)
    example = sheet.rows[0].cells + ("",) * width
    headings = tuple(
        _("Column %(letter)s (%(example)s)") % {"letter": letters(column), "example": example[column][:30]}
        for column in range(width)
    )
    rows, totals = _without_totals(sheet.rows, headings)
    return Table(sheet.name, headings, (), rows, 0, totals, sheet.empty_rows, sheet.unread_from)


def letters(column: int) -> str:
    """The sheet's letter for a column: 0 is A, 26 is AA."""
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


def _headings(head: list[Row], at: int) -> tuple[tuple[str, ...], int]:
    """The headings of the row `at`, joined with the row below where that one only goes into detail."""
    top = list(head[at].cells)
    if at + 1 >= len(head) or head[at + 1].number > head[at].number + 2 or not _is_detail(top, head[at + 1]):
        return tuple(_one_line(cell) for cell in top), 1
    below = head[at + 1].cells
    width = max(len(top), len(below))
    top += [""] * (width - len(top))
    joined, over = [], ""
    for column in range(width):
        detail = below[column] if column < len(below) else ""
        # A merged heading stands in its first column only; it reaches as far as details go on without one above.
        over = top[column] or (over if detail else "")
        joined.append(_one_line(f"{over} {detail}"))
    return tuple(joined), 2


def _one_line(text: str) -> str:
    return " ".join(text.split())[:80]


def _is_detail(top: list[str], row: Row) -> bool:
    filled = [(column, cell) for column, cell in enumerate(row.cells) if cell]
    if not filled or any(isinstance(cell, Exact) or any(sign.isdigit() for sign in cell) for _at, cell in filled):
        return False
    beyond = any(column >= len(top) or not top[column] for column, _cell in filled)
    units = all(fold(cell) in UNITS for _column, cell in filled)
    # A market day has a date and an item; a row of units, or of words under a merged heading, has neither.
    under_date = any(column < len(top) and field_of(top[column]) == "date" for column, _cell in filled)
    return not under_date and (units or beyond)


def _without_totals(rows: tuple[Row, ...], headings: tuple[str, ...]) -> tuple[tuple[Row, ...], int]:
    dates = [column for column, heading in enumerate(headings) if field_of(heading) == "date"]
    kept = [row for row in rows if not _is_total(row, dates)]
    return tuple(kept), len(rows) - len(kept)


def _is_total(row: Row, dates: list[int]) -> bool:
    texts = [cell for cell in row.cells if cell and not isinstance(cell, Exact)]
    if not any(TOTALS.match(text) and len(text) < 40 for text in texts[:2]):
        return False
    on_day = [row.cells[column] for column in dates if column < len(row.cells) and row.cells[column]]
    return not any(any(sign.isdigit() for sign in cell) and not TOTALS.match(cell) for cell in on_day)
