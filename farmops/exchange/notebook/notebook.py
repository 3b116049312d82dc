"""The front door: a market notebook as people really keep it, read with the answers given so far."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import date

from django.utils.translation import gettext as _

from farmops.core.demand.records import MarketRecord
from farmops.exchange.notebook.columns import Mapping
from farmops.exchange.notebook.dates import in_words
from farmops.exchange.notebook.decode import decode
from farmops.exchange.notebook.doubts import Answers, Doubt, Questions
from farmops.exchange.notebook.hours import read_hours
from farmops.exchange.notebook.lines import Reading
from farmops.exchange.notebook.matching import Columns, match_columns
from farmops.exchange.notebook.reading import read_lines
from farmops.exchange.notebook.records import left_out_reasons, make_records, step_of_items
from farmops.exchange.notebook.refusal import NotebookRefused
from farmops.exchange.notebook.settling import Difference, settle_lines
from farmops.exchange.notebook.table import Table, find_table
from farmops.exchange.notebook.worth import guesses_of, starting_economics
from farmops.planning.economics import Economics

EMPTY_MAPPING = Mapping({}, ())


@dataclass(frozen=True, slots=True)
class Notebook:
    """What was read.

    Attributes
    ----------
    name : str
        As the file is called.
    table : Table
        The table found: sheet, headings, rows left out.
    mapping : Mapping
        Which column is what.
    doubts : tuple of Doubt
        Every question, answered or not; `open` are those without which nothing is computed.
    records : tuple of MarketRecord
        () while a question is open.
    economics : dict of item to Economics
        Per unit; None where the sheet has none.
    guesses : dict of (market, item) to float
        The grower's own guesses. [steps]
    left_out : tuple of (reason, rows, words)
    differences : tuple of Difference
        Rows whose sums do not meet.
    warnings : tuple of str
    """

    name: str
    table: Table
    mapping: Mapping = EMPTY_MAPPING
    doubts: tuple[Doubt, ...] = ()
    records: tuple[MarketRecord, ...] = ()
    economics: dict[str, Economics] = field(default_factory=dict)
    guesses: dict[tuple[str, str], float] = field(default_factory=dict)
    left_out: tuple[tuple[str, int, str], ...] = ()
    differences: tuple[Difference, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def open(self) -> tuple[Doubt, ...]:
        return tuple(doubt for doubt in self.doubts if doubt.must_be_answered)

    @property
    def is_ready(self) -> bool:
        return not self.open and bool(self.records)

    @property
    def unused(self) -> tuple[str, ...]:
        """Headings of the columns that nothing was taken from."""
        return self.mapping.unused

    @property
    def days(self) -> tuple[date, date] | None:
        """First and last market day."""
        found = [record.day for record in self.records]
        return (min(found), max(found)) if found else None

    @property
    def days_in_words(self) -> str:
        """ "3 April 2026 to 31 October 2026": the dates as they were understood."""
        days = self.days
        return _("%(first)s to %(last)s") % {"first": in_words(days[0]), "last": in_words(days[1])} if days else ""


def read_notebook(
    source: bytes | str, name: str = "", answers: Answers | None = None, as_of: date | None = None
) -> Notebook:
    """Read a market notebook with the answers given so far; pure, so that it can be called again after each answer.

    Parameters
    ----------
    source : bytes or str
        The bytes of a file, or pasted text.
    name : str
        What the file is called; its kind is told from its content.
    answers : Answers
    as_of : date, optional
        Rows after it are left out and counted.

    Raises
    ------
    NotebookRefused
        If nothing can be read: in plain words, with what to do and, where known, the row.
    """
    questions = Questions(answers or Answers())
    table = find_table(decode(source), questions)
    if questions.open:
        return Notebook(name, table, doubts=tuple(questions.doubts))
    mapping = match_columns(Columns.of(table), questions)
    if questions.open:
        return Notebook(name, table, mapping, tuple(questions.doubts))
    _refuse_without(mapping)
    reading = read_lines(table, mapping, questions, as_of)
    if questions.open:
        return _unfinished(name, reading)
    read_hours(reading)
    differences = settle_lines(reading)
    if questions.open:
        return _unfinished(name, reading, differences)
    steps = step_of_items(reading)
    return Notebook(
        name,
        table,
        mapping,
        tuple(questions.doubts),
        make_records(reading, steps),
        starting_economics(reading, steps),
        guesses_of(reading, steps),
        left_out_reasons(reading.left_out),
        differences,
        tuple(reading.warnings),
    )


def _unfinished(name: str, reading: Reading, differences: tuple[Difference, ...] = ()) -> Notebook:
    return Notebook(
        name,
        reading.table,
        reading.mapping,
        tuple(reading.questions.doubts),
        left_out=left_out_reasons(Counter(reading.left_out)),
        differences=differences,
        warnings=tuple(reading.warnings),
    )


def _refuse_without(mapping: Mapping) -> None:
    """What a notebook must tell at least."""
    if not mapping.has("date"):
        raise NotebookRefused(
            _("Without the date of each market day nothing can be learned from the sheet."),
            _("Add a column with the date to every row, and try again."),
        )
    has_stock = mapping.has("brought") or (
        mapping.has("sold") and (mapping.has("left_over") or mapping.has("other_left"))
    )
    if not has_stock:
        raise NotebookRefused(
            _("Sales alone do not tell whether something ran out."),
            _("Add what was brought, or what came back, and try again."),
        )
    if not any(mapping.has(name) for name in ("left_over", "other_left", "sold", "sold_out_at")):
        raise NotebookRefused(
            _("What was brought does not tell what was sold."),
            _("Add what came back, what was sold, or when it ran out, and try again."),
        )
