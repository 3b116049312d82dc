"""One row of the notebook as a typed line, and the reading they belong to."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.notebook.columns import Mapping
from farmops.exchange.notebook.doubts import LEAVE_OUT, Choice, Questions, rows_in_words
from farmops.exchange.notebook.table import Table

UNKNOWN = "unknown"
Column = list[tuple[int, str]]


@dataclass(slots=True)
class Line:
    """One row of the notebook, read. None is unknown, never zero."""

    number: int
    day: date | None = None
    market: str = ""
    item: str = ""
    unit: str = ""
    amounts: dict[str, Decimal | None] = field(default_factory=dict)
    percents: set[str] = field(default_factory=set)
    texts: dict[str, str] = field(default_factory=dict)
    opens: int | None = None
    closes: int | None = None
    out_at: tuple[int, ...] = ()
    is_out: bool = False
    restocked_at: tuple[int, ...] = ()
    left_at: int | None = None
    weather: str = ""
    is_called_off: bool = False
    is_planned: bool = False

    def amount(self, name: str) -> Decimal | None:
        return self.amounts.get(name)


@dataclass(slots=True)
class Reading:
    """The lines so far, and what was left out and why."""

    table: Table
    mapping: Mapping
    questions: Questions
    lines: list[Line]
    left_out: Counter[str] = field(default_factory=Counter)
    warnings: list[str] = field(default_factory=list)

    def cells(self, column: int, lines: list[Line] | None = None) -> Column:
        by_number = self.by_number
        return [(line.number, _cell(by_number[line.number], column)) for line in lines or self.lines]

    @property
    def by_number(self) -> dict[int, tuple[str, ...]]:
        return {row.number: row.cells for row in self.table.rows}

    def drop(self, wrong: Callable[[Line], bool], reason: str) -> None:
        """Leave out the lines for which `wrong` holds, counted under `reason`."""
        kept = [line for line in self.lines if not wrong(line)]
        if len(kept) < len(self.lines):
            self.left_out[reason] += len(self.lines) - len(kept)
            self.lines[:] = kept


def _cell(cells: tuple[str, ...], column: int) -> str:
    return cells[column] if column < len(cells) else ""


def ask_unreadable(
    reading: Reading, name: str, heading: str, bad: Column, *, can_be_unknown: bool = True
) -> str | None:
    """Cells that cannot be read: one question for the column."""
    if not bad:
        return None
    row, text = bad[0]
    question = ngettext(
        "“%(text)s” in “%(column)s”, row %(row)d, cannot be read. What shall be done?",
        "%(count)d cells in “%(column)s” cannot be read (row %(row)d: “%(text)s”; all: %(rows)s). What shall be done?",
        len(bad),
    )
    rows = tuple(number for number, _text in bad)
    choices = [Choice(LEAVE_OUT, _("Leave these rows out"))]
    if can_be_unknown:
        choices.insert(0, Choice(UNKNOWN, _("Take it as not noted")))
    return reading.questions.ask(
        f"unreadable.{name}",
        question % {"count": len(bad), "column": heading, "row": row, "text": text[:40], "rows": rows_in_words(rows)},
        tuple(choices),
        rows=rows,
        column=heading,
    )
