"""Rows of the table to typed lines: dates, names, units and amounts, with one question for each kind of doubt."""

from collections import Counter
from collections.abc import Callable
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.notebook.amounts import read_all_amounts
from farmops.exchange.notebook.columns import Mapping
from farmops.exchange.notebook.dates import are_mixed, in_words, read_dates
from farmops.exchange.notebook.doubts import LEAVE_OUT, Choice, Questions, rows_in_words
from farmops.exchange.notebook.lines import Line, Reading, ask_unreadable
from farmops.exchange.notebook.names import Names, key_of
from farmops.exchange.notebook.table import Table

ABOVE = "above"


def read_lines(table: Table, mapping: Mapping, questions: Questions, as_of: date | None) -> Reading:
    """All lines with their dates, names and amounts; those after `as_of` are left out before anything is asked."""
    reading = Reading(table, mapping, questions, [Line(row.number) for row in table.rows])
    _drop_remarks(reading)
    _read_days(reading)
    if as_of is not None:
        reading.drop(lambda line: line.day is not None and line.day > as_of, "after")
    _read_markets(reading)
    _read_items(reading)
    read_all_amounts(reading)
    for name in ("opens", "closes", "sold_out_at", "restocked_at", "weather", "status"):
        column = mapping.column(name)
        if column is not None:
            for line, (_number, text) in zip(reading.lines, reading.cells(column), strict=True):
                line.texts[name] = text
    return reading


def _drop_remarks(reading: Reading) -> None:
    """Rows that name no item and no amount are remarks between the days."""
    columns = [
        column
        for name in ("item", "brought", "left_over", "sold")
        if (column := reading.mapping.column(name)) is not None
    ]
    cells = reading.by_number
    said = {row for row, texts in cells.items() if any(column < len(texts) and texts[column] for column in columns)}
    reading.drop(lambda line: line.number not in said, "no item")


def _read_days(reading: Reading) -> None:
    column = reading.mapping.column("date")
    if column is None:
        return
    heading = reading.mapping.heading("date")
    cells = reading.cells(column)
    read = read_dates(cells, heading, reading.questions)
    for line, day in zip(reading.lines, read.days, strict=True):
        line.day = day
    if are_mixed([text for _row, text in cells]):
        first = next((line for line in reading.lines if line.day), None)
        reading.warnings.append(
            _("“%(column)s” has dates of two kinds: have day and month changed places? Row %(row)d is read as %(day)s.")
            % {
                "column": heading,
                "row": first.number if first else 0,
                "day": in_words(first.day) if first and first.day else "",
            }
        )
    bad = {cells[at][0] for at in read.bad}
    ask_unreadable(reading, "date", heading, [cells[at] for at in read.bad], can_be_unknown=False)
    reading.drop(lambda line: line.number in bad, "unreadable")
    empty = [line for line, (_row, text) in zip(reading.lines, reading.cells(column), strict=True) if not text]
    _fill_from_above(reading, "date", heading, empty, lambda line: line.day, _set_day)


def _set_day(line: Line, day: date | str | None) -> None:
    line.day = day if isinstance(day, date) else None


def _set_market(line: Line, market: date | str | None) -> None:
    line.market = str(market or "")


def _fill_from_above(
    reading: Reading,
    name: str,
    heading: str,
    empty: list[Line],
    get: Callable[[Line], date | str | None],
    put: Callable[[Line, date | str | None], None],
) -> None:
    """A date or market written once for several rows: ask whether the one above is meant."""
    if not empty:
        return
    rows = tuple(line.number for line in empty)
    question = ngettext(
        "“%(column)s” is empty in row %(rows)s. Is the one above meant?",
        "“%(column)s” is empty in %(count)d rows (%(rows)s). Is the one above meant?",
        len(rows),
    )
    said = reading.questions.ask(
        f"empty.{name}",
        question % {"column": heading, "rows": rows_in_words(rows), "count": len(rows)},
        (Choice(ABOVE, _("Yes, the one above")), Choice(LEAVE_OUT, _("No, leave these rows out"))),
        rows=rows,
        column=heading,
    )
    blank = set(rows)
    if said == ABOVE:
        above: date | str | None = None
        for line in reading.lines:
            if line.number in blank:
                put(line, above)
            else:
                above = get(line)
        reading.drop(lambda line: line.number in blank and not get(line), f"no {name}")
    elif said == LEAVE_OUT:
        reading.drop(lambda line: line.number in blank, f"no {name}")


def _read_markets(reading: Reading) -> None:
    column = reading.mapping.column("market")
    if column is None:
        named = reading.questions.ask(
            "market", _("The sheet does not say which market. What is it called?"), default=_("Market")
        )
        for line in reading.lines:
            line.market = (named or "").strip()[:80]
        return
    heading = reading.mapping.heading("market")
    empty = _read_names(reading, "market", column, heading, _set_market)
    _fill_from_above(reading, "market", heading, empty, lambda line: line.market, _set_market)


def _read_items(reading: Reading) -> None:
    column = reading.mapping.column("item")
    if column is None:
        named = reading.questions.ask("item", _("The sheet does not say what was sold. What is it called?"))
        for line in reading.lines:
            line.item = (named or "").strip()[:120]
        return
    heading = reading.mapping.heading("item")
    empty = _read_names(reading, "item", column, heading, _set_item)
    _fill_from_above(reading, "item", heading, empty, lambda line: line.item, _set_item)
    unit = reading.mapping.column("unit")
    if unit is not None:
        for line, (_number, text) in zip(reading.lines, reading.cells(unit), strict=True):
            line.unit = unit_word(text)
        _part_units(reading)


def _set_item(line: Line, item: date | str | None) -> None:
    line.item = str(item or "")


def _read_names(
    reading: Reading, what: str, column: int, heading: str, put: Callable[[Line, date | str | None], None]
) -> list[Line]:
    """Give each line its kept spelling; the lines without one are returned."""
    names = Names()
    cells = reading.cells(column)
    for _number, text in cells:
        if text:
            names.add(text)
    names.suggest(what, heading, reading.questions)
    for line, (_number, text) in zip(reading.lines, cells, strict=True):
        if text:
            put(line, names.name(text)[:120])
    return [line for line, (_number, text) in zip(reading.lines, cells, strict=True) if not text]


SAME_UNIT = {
    "bunches": "bunch", "bu": "bunch", "bch": "bunch", "heads": "head", "hd": "head", "lbs": "lb", "pound": "lb",
    "pounds": "lb", "#": "lb", "bags": "bag", "each": "piece", "ea": "piece", "pc": "piece", "pcs": "piece",
    "pieces": "piece", "ounce": "oz", "ounces": "oz", "kgs": "kg", "kilo": "kg", "pints": "pint", "pt": "pint",
    "quarts": "quart", "qt": "quart", "boxes": "box", "pots": "pot", "trays": "tray",
}  # fmt: skip


def unit_word(text: str) -> str:
    """One word for one unit: "Bunches" and "bu." are "bunch"."""
    folded = key_of(text).strip(" .").removeprefix("per ").removeprefix("/").strip()
    return SAME_UNIT.get(folded, folded)[:40]


def _part_units(reading: Reading) -> None:
    """An item noted in two units is two things to sell, unless the person says otherwise."""
    units: dict[str, Counter[str]] = {}
    for line in reading.lines:
        units.setdefault(line.item, Counter())
        if line.unit:
            units[line.item][line.unit] += 1
    mixed = {item for item, found in units.items() if len(found) > 1}
    for line in reading.lines:
        if not line.unit and units[line.item]:
            line.unit = units[line.item].most_common(1)[0][0]
    if not mixed:
        return
    heading = reading.mapping.heading("unit")
    said = reading.questions.ask(
        "units",
        _("%(items)s: counted in more than one unit. Are these different things to sell?")
        % {"items": ", ".join(sorted(mixed)[:6])},
        (
            Choice("two", _("Yes, keep them apart (e.g. bunch and lb)")),
            Choice("one", _("No, it is one item; the unit was only written differently")),
        ),
        rows=tuple(line.number for line in reading.lines if line.item in mixed),
        column=heading,
        default="two",
    )
    for line in reading.lines:
        if line.item in mixed:
            if said == "two":
                line.item = f"{line.item} ({line.unit})"
            else:
                line.unit = units[line.item].most_common(1)[0][0]
