"""The amounts of every line; what is negative, impossible or far beyond the usual is asked about, never changed."""

import re
from collections import Counter
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.notebook.columns import is_not_wasted, is_taken_home
from farmops.exchange.notebook.doubts import LEAVE_OUT, Choice, rows_in_words
from farmops.exchange.notebook.lines import UNKNOWN, Column, Line, Reading, ask_unreadable
from farmops.exchange.notebook.names import key_of
from farmops.exchange.notebook.numbers import ReadAmounts, read_amounts

KEEP, CHANGE = "keep", "change"
PART, ON_TOP = "part", "on top"
COUNTS = ("brought", "left_over", "sold", "carried_in", "restocked")
MONEY = ("price", "unit_cost", "leftover_value")
MOST_ON_A_DAY = Decimal(100_000)  # of one item at one market day; more is a slip of the pen
MUCH_MORE = 20  # times what is usual for the item
MUCH = Decimal(200)


def read_all_amounts(reading: Reading) -> None:
    """Read every column of amounts that the sheet has."""
    for name in (*COUNTS, *MONEY, "step", "guess"):
        column = reading.mapping.column(name)
        if column is not None:
            heading = reading.mapping.heading(name)
            cells = reading.cells(column)
            _take_amounts(
                reading, name, heading, read_amounts(cells, name, heading, reading.questions, money=name in MONEY)
            )
    _add_other_leftovers(reading)


def _take_amounts(reading: Reading, name: str, heading: str, read: ReadAmounts) -> None:
    lines = list(reading.lines)
    column = reading.mapping.column(name)
    texts = dict(reading.cells(column, lines)) if column is not None and lines else {}
    for at, line in enumerate(lines):
        line.amounts[name] = read.amounts[at]
        if at in read.percents:
            line.percents.add(name)
        if at in read.alls:
            line.amounts[name] = line.amount("brought")
    bad = [(lines[at].number, texts[lines[at].number]) for at in read.bad]
    said = ask_unreadable(reading, name, heading, bad)
    if said == LEAVE_OUT:
        numbers = {number for number, _text in bad}
        reading.drop(lambda line: line.number in numbers, "unreadable")
    if read.about:
        reading.warnings.append(
            ngettext(
                "%(count)d amount in “%(column)s” is noted as “about”; it is taken as it stands.",
                "%(count)d amounts in “%(column)s” are noted as “about”; they are taken as they stand.",
                read.about,
            )
            % {"count": read.about, "column": heading}
        )
    _ask_weights(reading, name, heading, {lines[at].number: weight for at, weight in read.weighed.items()})
    _ask_negative(reading, name, heading, texts)
    _ask_large(reading, name, heading, texts)


def _ask_weights(reading: Reading, name: str, heading: str, weighed: dict[int, str]) -> None:
    """Pounds and ounces written into one column: nothing is converted behind anybody's back."""
    counts = Counter(weighed.values())
    if len(counts) < 2:
        return
    usual = counts.most_common(1)[0][0]
    rows = tuple(sorted(number for number, weight in weighed.items() if weight != usual))
    said = reading.questions.ask(
        f"weights.{name}",
        _("“%(column)s” is in %(unit)s, but not in row %(rows)s (%(other)s). What shall be done?")
        % {"column": heading, "unit": usual, "rows": rows_in_words(rows), "other": weighed[rows[0]]},
        (
            Choice(UNKNOWN, _("Take these amounts as not noted")),
            Choice(LEAVE_OUT, _("Leave these rows out")),
            Choice(KEEP, _("Only the word is wrong: all are in %(unit)s") % {"unit": usual}),
        ),
        rows=rows,
        column=heading,
    )
    numbers = set(rows)
    if said == LEAVE_OUT:
        reading.drop(lambda line: line.number in numbers, "weights")
    elif said == UNKNOWN:
        for line in reading.lines:
            if line.number in numbers:
                line.amounts[name] = None


def _ask_about(
    reading: Reading,
    key: str,
    question: str,
    wrong: list[Line],
    name: str,
    texts: dict[int, str],
    change: Choice | None,
) -> str | None:
    heading = reading.mapping.heading(name)
    rows = tuple(line.number for line in wrong)
    choices = [Choice(UNKNOWN, _("It is a slip: take it as not noted")), Choice(LEAVE_OUT, _("Leave these rows out"))]
    if change:
        choices.insert(0, change)
    said = reading.questions.ask(
        f"{key}.{name}",
        question % {"column": heading, "rows": rows_in_words(rows), "text": texts.get(rows[0], "")[:40]},
        tuple(choices),
        rows=rows,
        column=heading,
    )
    if said == UNKNOWN:
        for line in wrong:
            line.amounts[name] = None
    elif said == LEAVE_OUT:
        numbers = set(rows)
        reading.drop(lambda line: line.number in numbers, key)
    return said


def _ask_negative(reading: Reading, name: str, heading: str, texts: dict[int, str]) -> None:
    wrong = [line for line in reading.lines if (line.amount(name) or 0) < 0]
    if not wrong:
        return
    question = _("“%(column)s” is less than nothing in row %(rows)s (%(text)s). What is meant?")
    change = Choice(CHANGE, _("The minus is only a dash: take it without"))
    if _ask_about(reading, "negative", question, wrong, name, texts, change) == CHANGE:
        for line in wrong:
            line.amounts[name] = abs(line.amount(name) or Decimal(0))


def _ask_large(reading: Reading, name: str, heading: str, texts: dict[int, str]) -> None:
    """Amounts that nobody carries to a market, or far beyond what is usual for the item."""
    too_much = [line for line in reading.lines if (line.amount(name) or 0) > MOST_ON_A_DAY]
    if too_much:
        question = _("“%(column)s” in row %(rows)s is %(text)s, more than can be. What shall be done?")
        _ask_about(reading, "absurd", question, too_much, name, texts, None)
    if name not in COUNTS and name != "price":
        return
    usual = _usual(reading.lines, name)
    least = Decimal(0) if name == "price" else MUCH
    strange = [
        line
        for line in reading.lines
        if (amount := line.amount(name))
        and least < amount <= MOST_ON_A_DAY
        and amount > MUCH_MORE * usual[line.item] > 0
    ]
    if strange:
        question = _("“%(column)s” in row %(rows)s is %(text)s, over twenty times what is usual for it. Is that right?")
        _ask_about(reading, "large", question, strange, name, texts, Choice(KEEP, _("Yes, it is right")))


def _usual(lines: list[Line], name: str) -> dict[str, Decimal]:
    """The middle amount of each item; 0 where fewer than four rows tell."""
    by_item: dict[str, list[Decimal]] = {}
    for line in lines:
        amounts = by_item.setdefault(line.item, [])
        if amount := line.amount(name):
            amounts.append(amount)
    return {
        item: sorted(amounts)[len(amounts) // 2] if len(amounts) >= 4 else Decimal(0)
        for item, amounts in by_item.items()
    }


def _add_other_leftovers(reading: Reading) -> None:
    """Given away, composted, taken home: each kind counts as left over, and what fed somebody not as waste."""
    columns = reading.mapping.columns.get("other_left", ())
    fed: set[str] = set()
    for column in columns:
        heading = reading.mapping.headings[column]
        name = "other_" + (re.sub(r"\W+", "_", key_of(heading)) or str(column))
        if is_not_wasted(heading):
            fed.add(name)
        lines = list(reading.lines)
        cells = reading.cells(column, lines)
        # A word here says who got them ("food bank"), not how many.
        _take_other(reading, name, heading, lines, cells)
    others = [name for line in reading.lines[:1] for name in line.amounts if name.startswith("other_")]
    if not others:
        return
    has_total = reading.mapping.has("left_over")
    part_of = has_total and _is_part_of_left_over(
        reading, others, [reading.mapping.headings[column] for column in columns]
    )
    if has_total and not part_of and is_taken_home(reading.mapping.heading("left_over")):
        fed.add("left_over")  # the rest stands in columns of its own
    for line in reading.lines:
        line.amounts["not_wasted"] = sum((line.amount(name) or Decimal(0) for name in fed), Decimal(0))
        known = [amount for name in others if (amount := line.amount(name)) is not None]
        if known and not (part_of and line.amount("left_over") is not None):
            line.amounts["left_over"] = sum(known, line.amount("left_over") or Decimal(0))


def _take_other(reading: Reading, name: str, heading: str, lines: list[Line], cells: Column) -> None:
    read = read_amounts(cells, name, heading, reading.questions)
    for at, line in enumerate(lines):
        line.amounts[name] = None if (read.amounts[at] or 0) < 0 else read.amounts[at]
    if read.bad:
        reading.warnings.append(
            _("“%(column)s” holds words in row %(rows)s; they are not counted.")
            % {"column": heading, "rows": rows_in_words(tuple(cells[at][0] for at in read.bad))}
        )


def _is_part_of_left_over(reading: Reading, others: list[str], headings: list[str]) -> bool:
    """Whether where it went is told of what came back, or of more: the sums of the rows tell, else it is asked."""
    votes = Counter(vote for line in reading.lines for vote in _votes(line, others))
    part, on_top = votes[PART], votes[ON_TOP]
    total = reading.mapping.heading("left_over")
    if bool(part) != bool(on_top) or is_taken_home(total):
        return part > on_top  # nothing that went elsewhere is part of what went home, unless the sums say so
    rows = tuple(line.number for line in reading.lines if line.amount("left_over") and _sum_of(line, others))
    if not rows:
        return False
    question = ngettext(
        "Is “%(others)s” part of “%(column)s”, or does it come on top of it?",
        "Are %(others)s part of “%(column)s”, or do they come on top of it?",
        len(headings),
    )
    named = headings[0] if len(headings) == 1 else ", ".join(f"“{heading}”" for heading in headings)
    said = reading.questions.ask(
        "leftovers",
        question % {"others": named, "column": total},
        (Choice(PART, _("Part of it")), Choice(ON_TOP, _("On top of it"))),
        rows=rows,
        column=total,
        default=ON_TOP if on_top > part else PART,
    )
    return said == PART


def _sum_of(line: Line, names: list[str]) -> Decimal:
    return sum((line.amount(name) or Decimal(0) for name in names), Decimal(0))


def _votes(line: Line, others: list[str]) -> list[str]:
    """What one row can only mean: [PART], [ON_TOP], or [] where both or neither would do."""
    other, left, brought = _sum_of(line, others), line.amount("left_over"), line.amount("brought")
    if left is None or not other or line.percents & {"left_over", *others}:
        return []
    part, on_top = other <= left, True
    if brought is not None:
        stock, sold = brought + (line.amount("carried_in") or 0), line.amount("sold")
        if sold is not None and stock in (sold + left, sold + left + other):
            part, on_top = part and stock == sold + left, stock != sold + left
        else:
            most = stock + (line.amount("restocked") or 0) - (sold or 0)
            part, on_top = part and left <= most, left + other <= most
    return [PART] if part and not on_top else [ON_TOP] if on_top and not part else []
