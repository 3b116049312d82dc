"""Which column is what: matched by plain words, asked where words do not decide, overridden by the person."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from django.utils.translation import gettext as _

from farmops.exchange.notebook.cells import Exact
from farmops.exchange.notebook.columns import (
    MEANINGS,
    MONEY_FIELDS,
    SEVERAL,
    WITHIN,
    WORDS,
    Mapping,
    field_of,
    fold,
    is_taken_home,
)
from farmops.exchange.notebook.dates import DAY_FIRST, MONTH_FIRST, parse_date
from farmops.exchange.notebook.doubts import Choice, Questions
from farmops.exchange.notebook.numbers import MONEY, ZERO, parse_amount, plain_word
from farmops.exchange.notebook.refusal import NotebookRefused
from farmops.exchange.notebook.table import Table
from farmops.exchange.notebook.times import read_time

NOT_THERE = "none"
LOOK_AT = 60  # filled cells that tell what a column holds
MOST = 0.8  # of them that must be of one kind
SHOWN = 3  # first values beside a heading
AMOUNT, TIME, DATE, WORD = "amount", "time", "date", "word"
KINDS = {"date": DATE, "item": WORD, "market": WORD, "status": WORD, "sold_out_at": TIME, "opens": TIME, "closes": TIME}
# Without these a notebook can be read too; they are asked for only where a column that may be it has no meaning yet.
# A wrong market, a lost sell-out time or a day that was never held spoils what is learned: these must be answered.
WORTH_ASKING = ("market", "status", "sold_out_at", "opens", "closes", "price")
MUST_SAY = {"market", "status", "sold_out_at"}
NOT_HELD = re.compile(r"(planned|to come|called off|cancell?ed|not held|no market|did not go)\b", re.IGNORECASE)
FEW = 12  # cells in which one that comes back is enough to take a column of words for places
CLOCKED = re.compile(r"\d\s*[:h]\s*\d\d|\d\s*(?:h|uhr)\b|\d\s*[ap]\.?\s?m\b|\bnoon\b", re.IGNORECASE)


@dataclass(frozen=True)
class Columns:
    """The columns of a table: headings, and what stands below them."""

    headings: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...] = ()
    heading_rows: tuple[int, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()

    @classmethod
    def of(cls, table: Table) -> "Columns":
        rows = tuple(row.cells for row in table.rows)
        below = (tuple(row[at] for row in rows if at < len(row) and row[at]) for at in range(len(table.headings)))
        return cls(table.headings, tuple(below), table.heading_rows, rows)

    def filled(self, column: int) -> tuple[str, ...]:
        return self.cells[column] if column < len(self.cells) else ()

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """For each column "amount", "time", "date", "word" or "" (empty or of several kinds)."""
        return tuple(_kind_of(self.filled(column)[:LOOK_AT]) for column in range(len(self.headings)))

    def amounts(self, column: int) -> tuple[Decimal | None, ...]:
        """What the first rows hold there as numbers; "none" is 0, money and words are None."""
        return tuple(_count(row[column] if column < len(row) else "") for row in self.rows[:LOOK_AT])

    def unlikely(self, name: str, column: int, brought: int | None) -> tuple[float, ...]:
        """How little the column looks like the field, for sorting: the least first.

        Counts are whole numbers, none above what was brought; prices have decimals or a sign of money and are small.
        """
        filled = self.filled(column)[:LOOK_AT]
        if not filled or KINDS.get(name, AMOUNT) != AMOUNT:
            return ()
        if name in MONEY_FIELDS:
            prices = [parse_amount(cell, "point", money=True) or Decimal(0) for cell in filled]
            broken = sum(price % 1 != 0 or bool(MONEY.search(cell)) for price, cell in zip(prices, filled, strict=True))
            return (float(broken == 0), float(sum(prices) / len(prices)))
        counts = self.amounts(column)
        known = [count for count in counts if count is not None]
        strange = len(filled) - sum(count % 1 == 0 for count in known)
        if brought is None or brought == column:
            return (float(strange > (1 - MOST) * len(filled)), 0.0, 0.0)
        pairs = zip(counts, self.amounts(brought), strict=True)
        above = sum(count > most for count, most in pairs if count is not None and most is not None)
        some_none = any(count == 0 for count in known)
        return (float(strange > (1 - MOST) * len(filled)), above / len(filled), float(not some_none))

    def words(self, column: int) -> str:
        """The heading with its first values: “In the van (40, 38, 42)”."""
        values = list(dict.fromkeys(cell[:16] for cell in self.filled(column)[:LOOK_AT]))[:SHOWN]
        heading = self.headings[column]
        if values and not self.heading_rows:
            heading = heading.removesuffix(f" ({values[0]})")  # made up of its first value
        return f"{heading} ({', '.join(values)})" if values else heading


def _count(cell: str) -> Decimal | None:
    if MONEY.search(cell):
        return None
    return Decimal(0) if plain_word(cell) in ZERO else parse_amount(cell, "point")


def _kind_of(cells: Sequence[str]) -> str:
    if not cells:
        return ""
    # "none" among figures is one of them; a column of nothing else holds words.
    telling = [cell for cell in cells if plain_word(cell) not in ZERO]
    found = [_kind(cell) for cell in telling or cells]
    return next((kind for kind in (DATE, TIME, AMOUNT, WORD) if found.count(kind) >= MOST * len(found)), "")


def _kind(cell: str) -> str:
    if CLOCKED.search(cell) and read_time(cell) is not None:
        return TIME
    if isinstance(cell, Exact) or parse_amount(cell, "point", money=True) is not None:
        return AMOUNT
    if any(parse_date(cell, style, 2000) for style in (DAY_FIRST, MONTH_FIRST)):
        return DATE
    return WORD if any(sign.isalpha() for sign in cell) else ""


def match_columns(columns: Columns, questions: Questions) -> Mapping:
    """Columns by words and answers; asks where two columns claim one field or one that matters is missing.

    Raises
    ------
    NotebookRefused
        If the sheet has a column for each item, so that no column can be the item.
    """
    headings = columns.headings
    found = _claims(headings)
    _override(found, headings, questions)
    _part_taken_home(found, headings)
    asking = _Asking(columns, questions)
    for name, claimed in list(found.items()):
        if len(claimed) > 1 and name not in SEVERAL:
            exact = [column for column in claimed if fold(headings[column]) == name.replace("_", " ")]
            if name == "left_over":  # two counts of what was left say two things: neither is passed over
                exact = []
            found[name] = tuple(exact) if len(exact) == 1 else asking.which(name, claimed)
    _refuse_wide(columns, Mapping(found, headings), questions)
    for name in _missing(Mapping(found, headings), columns):
        if f"column.{name}" not in asking.asked:
            found[name] = asking.which(name, _unused(Mapping(found, headings)), brought=_first(found.get("brought")))
    for name in WORTH_ASKING:
        free = [at for at in _unused(Mapping(found, headings)) if _may_be(name, at, columns)]
        if (
            len(free) > (name in ("opens", "closes") and "column.sold_out_at" in asking.asked)
            and not found.get(name)
            and f"column.{name}" not in asking.asked
        ):
            found[name] = asking.which(name, tuple(free), default=None if name in MUST_SAY else NOT_THERE)
    _keep_named(found, questions)
    return Mapping({name: own for name, own in found.items() if own}, headings)


def _first(columns: tuple[int, ...] | None) -> int | None:
    return columns[0] if columns else None


def _claims(headings: tuple[str, ...]) -> dict[str, tuple[int, ...]]:
    claims: dict[str, list[int]] = {}
    for column, heading in enumerate(headings):
        if heading and (name := field_of(heading)):
            claims.setdefault(name, []).append(column)
    free = [at for at, heading in enumerate(headings) if heading and field_of(heading) is None]
    for name, words in WITHIN.items():
        if name not in claims:
            claims[name] = [at for at in free if len(headings[at]) < 40 and words.search(fold(headings[at]))]
    return {name: tuple(found) for name, found in claims.items() if found}


def _override(columns: dict[str, tuple[int, ...]], headings: tuple[str, ...], questions: Questions) -> None:
    """What the person said about a column wins over the words above it."""
    for name in WORDS:
        said = questions.answers.get(f"column.{name}")
        if said is None:
            continue
        chosen = () if said == NOT_THERE else _chosen(said, len(headings))
        if said != NOT_THERE and not chosen:
            continue
        for other in columns:
            columns[other] = tuple(column for column in columns[other] if column not in chosen)
        columns[name] = chosen


def _part_taken_home(columns: dict[str, tuple[int, ...]], headings: tuple[str, ...]) -> None:
    """What was taken home, beside a column of all that was left, is one of the places where it went."""
    claimed = columns.get("left_over", ())
    home = tuple(column for column in claimed if is_taken_home(headings[column]))
    if home and len(home) < len(claimed):
        columns["left_over"] = tuple(column for column in claimed if column not in home)
        columns["other_left"] = (*columns.get("other_left", ()), *home)


def _chosen(said: str, count: int) -> tuple[int, ...]:
    picked = [int(part) for part in said.split(",") if part.strip().isdecimal() and len(part) < 6]
    return tuple(column for column in picked if column < count)


def _may_be(name: str, column: int, columns: Columns) -> bool:
    """Whether what stands in the column could be it; a market comes back, a note hardly ever."""
    if columns.kinds[column] != KINDS.get(name, AMOUNT):
        return False
    cells = columns.filled(column)
    if name == "status":
        return any(NOT_HELD.match(cell) for cell in cells)
    different = len(set(cells))
    return name != "market" or (different < len(cells) and (len(cells) <= FEW or 2 * different <= len(cells)))


def _missing(mapping: Mapping, columns: Columns) -> list[str]:
    needed = [name for name in ("date", "item") if not mapping.has(name)]
    enough = mapping.has("brought") or (mapping.has("sold") and (mapping.has("left_over") or mapping.has("other_left")))
    if not enough:
        needed.append("brought")
    if any(mapping.has(name) for name in ("left_over", "other_left", "sold")):
        return needed
    # A sell-out time alone tells of the days that ran out, not of the others.
    amounts = [at for at in _unused(mapping) if columns.kinds[at] == AMOUNT]
    spare = len(amounts) > (not mapping.has("brought"))
    return [*needed, "left_over"] if spare or not mapping.has("sold_out_at") else needed


def _unused(mapping: Mapping) -> tuple[int, ...]:
    used = {column for columns in mapping.columns.values() for column in columns}
    return tuple(column for column, words in enumerate(mapping.headings) if words and column not in used)


class _Asking:
    """Asks which column is what; the likeliest columns come first, and no two questions begin with the same one."""

    def __init__(self, columns: Columns, questions: Questions) -> None:
        self.columns, self.questions = columns, questions
        self.asked: set[str] = set()
        self.first: set[int] = set()
        self.brought: int | None = None  # the likeliest, while it is asked for

    def which(
        self, name: str, among: Sequence[int], default: str | None = None, brought: int | None = None
    ) -> tuple[int, ...]:
        columns, headings, kind = self.columns, self.columns.headings, KINDS.get(name, AMOUNT)
        most = self.brought if brought is None else brought
        likely = sorted(
            among,
            key=lambda at: (at in self.first, columns.kinds[at] != kind, *columns.unlikely(name, at, most), at),
        )
        self.first |= {column for column in likely[:1] if columns.kinds[column] == kind}
        if name == "brought":
            self.brought = _first(tuple(likely))
        self.asked.add(f"column.{name}")
        choices = [Choice(str(column), self.columns.words(column)) for column in likely]
        choices.append(Choice(NOT_THERE, str(_("It is not in this sheet"))))
        meaning = _("the price of one") if name == "price" else MEANINGS[name]
        question = _("Which column tells %(meaning)s?") % {"meaning": meaning}
        said = _chosen(self.questions.answers.get(f"column.{name}") or "", len(headings))
        if said and not set(said) <= set(among):
            question += " " + _("“%(column)s” already tells something else.") % {"column": headings[said[0]]}
        answer = self.questions.ask(f"column.{name}", question, tuple(choices), column=name, default=default)
        return _chosen(answer, len(headings)) if answer and answer != NOT_THERE else ()


def _keep_named(columns: dict[str, tuple[int, ...]], questions: Questions) -> None:
    """Each column has one meaning: the first field that holds it keeps it."""
    taken: set[int] = set()
    for name in sorted(columns, key=lambda name: questions.answers.get(f"column.{name}") is None):
        columns[name] = tuple(column for column in columns[name] if column not in taken)
        taken |= set(columns[name])


def _refuse_wide(columns: Columns, mapping: Mapping, questions: Questions) -> None:
    """A sheet with a column for each item cannot be told apart into brought and left over: say so in words.

    Only where no column of words could be the item, or the person said that none is.
    """
    if mapping.has("item") or not columns.heading_rows:
        return
    free = _unused(mapping)
    if any(columns.kinds[at] == WORD for at in free) and questions.answers.get("column.item") != NOT_THERE:
        return
    names = [columns.headings[at] for at in free if columns.kinds[at] == AMOUNT]
    if len(names) < 3:
        return
    raise NotebookRefused(
        _("This sheet seems to have one column for each item (%(names)s), not one row.")
        % {"names": ", ".join(names[:3])},
        _(
            "Write one row for each item and day, with columns Date, Item, Brought, Left over, "
            "e.g. “2026-05-02, %(name)s, 40, 6”, and try again."
        )
        % {"name": names[0]},
        row=columns.heading_rows[0],
    )
