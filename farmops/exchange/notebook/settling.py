"""What contradicts itself between the columns of a row: asked about, grouped, and settled as answered."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.exchange.notebook.doubts import LEAVE_OUT, Choice, rows_in_words
from farmops.exchange.notebook.lines import Line, Reading

NOTED, COUNTED, SOLD, ADD, FIRST = "noted", "count", "sold", "add", "first"
BOTH, LEFT, TIME, BROUGHT = "both", "left", "time", "brought"


@dataclass(frozen=True, slots=True)
class Difference:
    """One row whose sums do not meet: what was brought less what was sold and left. Shown, never forced."""

    row: int
    day: date
    market: str
    item: str
    brought: Decimal
    sold: Decimal
    left: Decimal

    @property
    def by_count(self) -> Decimal:
        return self.brought - self.left

    @property
    def unaccounted(self) -> Decimal:
        return self.brought - self.left - self.sold


def stock_of(line: Line) -> Decimal | None:
    """What was there to sell: brought and carried in."""
    brought = line.amount("brought")
    return None if brought is None else brought + (line.amount("carried_in") or 0)


def settle_lines(reading: Reading) -> tuple[Difference, ...]:
    """Ask what contradicts itself between the columns of a row; rows that say nothing are counted and dropped."""
    _ask_twice(reading)
    _fill_brought(reading)
    _settle_restocks(reading)
    reading.drop(lambda line: stock_of(line) is None, "not noted")
    reading.drop(lambda line: not stock_of(line), "nothing brought")
    differences = _ask_balance(reading)
    _ask_more_back(reading)
    _ask_left_and_out(reading)
    return differences


def _ask_twice(reading: Reading) -> None:
    first: dict[tuple[date | None, str, str], Line] = {}
    again: list[tuple[Line, Line]] = []
    for line in reading.lines:
        key = (line.day, line.market, line.item)
        if key in first:
            again.append((first[key], line))
        else:
            first[key] = line
    if not again:
        return
    rows = tuple(sorted({line.number for pair in again for line in pair}))
    earlier, later = again[0]
    said = reading.questions.ask(
        "twice",
        _("Rows %(first)d and %(second)d are both about %(item)s on the same day and market (all such rows: %(rows)s).")
        % {"first": earlier.number, "second": later.number, "item": later.item, "rows": rows_in_words(rows)},
        (
            Choice(ADD, _("Two loads: add them together")),
            Choice(FIRST, _("Entered twice: take the first")),
            Choice(LEAVE_OUT, _("Leave all of them out")),
        ),
        rows=rows,
    )
    if said is None:
        return
    doubles = {line.number for _first, line in again}
    if said == ADD:
        for earlier, later in again:
            _add(earlier, later)
    if said == LEAVE_OUT:
        reading.drop(lambda line: line.number in set(rows), "twice")
    else:
        reading.drop(lambda line: line.number in doubles, "added" if said == ADD else "twice")


def _add(first: Line, second: Line) -> None:
    for name in ("brought", "sold", "left_over", "carried_in", "restocked", "not_wasted"):
        one, two = first.amount(name), second.amount(name)
        both_needed = name in ("brought", "sold", "left_over")
        if one is None and two is None:
            continue
        first.amounts[name] = None if both_needed and None in (one, two) else (one or Decimal(0)) + (two or Decimal(0))
    first.out_at = tuple(sorted({*first.out_at, *second.out_at}))[-1:]
    first.is_out = first.is_out and second.is_out
    first.opens = min(first.opens or 0, second.opens or 0)
    first.closes = max(first.closes or 0, second.closes or 0)
    first.restocked_at = first.restocked_at or second.restocked_at


def _fill_brought(reading: Reading) -> None:
    """Sold and left over known: what was brought is their sum."""
    for line in reading.lines:
        sold, left = line.amount("sold"), line.amount("left_over")
        if line.amount("brought") is None and sold is not None and left is not None:
            line.amounts["brought"] = max(sold + left - (line.amount("carried_in") or 0), Decimal(0))


def _settle_restocks(reading: Reading) -> None:
    """Whether `brought` already holds what was put out later: the sums of the rows tell, else it is asked."""
    with_more = [line for line in reading.lines if line.amount("restocked") and line.amount("brought") is not None]
    if not with_more:
        return
    part = on_top = 0
    for line in with_more:
        stock, more = stock_of(line) or Decimal(0), line.amount("restocked") or Decimal(0)
        sold, left = line.amount("sold"), line.amount("left_over")
        if sold is not None and left is not None:
            part += stock == sold + left
            on_top += stock + more == sold + left
        elif more > (line.amount("brought") or 0):
            on_top += 1
    rows = tuple(line.number for line in with_more)
    said = "part" if part > on_top else "on top" if on_top > part else None
    if said is None:
        heading = reading.mapping.heading("restocked")
        said = reading.questions.ask(
            "restocked",
            _("Does “%(brought)s” already count what was put on the table later (“%(later)s”)?")
            % {"brought": reading.mapping.heading("brought"), "later": heading},
            (Choice("part", _("Yes, it is all that came")), Choice("on top", _("No, that came on top"))),
            rows=rows,
            column=heading,
            default="part",
        )
    for line in with_more:
        if said == "on top":
            line.amounts["brought"] = (line.amount("brought") or Decimal(0)) + (line.amount("restocked") or Decimal(0))


def _ask_balance(reading: Reading) -> tuple[Difference, ...]:
    found: list[tuple[Line, Difference]] = []
    for line in reading.lines:
        stock, sold, left = stock_of(line), line.amount("sold"), line.amount("left_over")
        if (
            stock is not None
            and sold is not None
            and line.day
            and (sold > stock or (left is not None and stock != sold + left))
        ):
            known = left if left is not None else Decimal(0)
            found.append((line, Difference(line.number, line.day, line.market, line.item, stock, sold, known)))
    fewer = [pair for pair in found if pair[1].unaccounted > 0]
    more = [pair for pair in found if pair[1].unaccounted < 0]
    if fewer:
        _ask_unaccounted(reading, fewer)
    if more:
        _ask_too_many(reading, more)
    return tuple(difference for _line, difference in found)


def _ask_unaccounted(reading: Reading, pairs: list[tuple[Line, Difference]]) -> None:
    rows = tuple(line.number for line, _difference in pairs)
    first = pairs[0][1]
    said = reading.questions.ask(
        "balance",
        _(
            "Row %(row)d: %(brought)s brought, %(left)s left over, %(sold)s sold: %(rest)s not accounted for "
            "(all such rows: %(rows)s). Which figure shall count as sold?"
        )
        % {**_figures(first), "rest": plain(first.unaccounted), "rows": rows_in_words(rows)},
        (
            Choice(NOTED, _("What is noted as sold; the rest stays unaccounted for")),
            Choice(COUNTED, _("What was brought less what was left")),
            Choice(LEAVE_OUT, _("Leave these rows out")),
        ),
        rows=rows,
        column=reading.mapping.heading("sold"),
        default=NOTED,
    )
    _apply_balance(reading, pairs, said)


def _ask_too_many(reading: Reading, pairs: list[tuple[Line, Difference]]) -> None:
    rows = tuple(line.number for line, _difference in pairs)
    first = pairs[0][1]
    said = reading.questions.ask(
        "balance.over",
        _(
            "Row %(row)d: %(sold)s sold and %(left)s left over, but only %(brought)s brought "
            "(all such rows: %(rows)s). Which is right?"
        )
        % {**_figures(first), "rows": rows_in_words(rows)},
        (
            Choice(SOLD, _("Sold and left over; more had been brought")),
            Choice(COUNTED, _("Brought and left over; fewer were sold")),
            Choice(LEAVE_OUT, _("Leave these rows out")),
        ),
        rows=rows,
        column=reading.mapping.heading("brought"),
    )
    _apply_balance(reading, pairs, said)


def _figures(difference: Difference) -> dict[str, object]:
    return {
        "row": difference.row,
        "brought": plain(difference.brought),
        "sold": plain(difference.sold),
        "left": plain(difference.left),
    }


def _apply_balance(reading: Reading, pairs: list[tuple[Line, Difference]], said: str | None) -> None:
    for line, difference in pairs:
        if said == COUNTED:
            line.amounts["sold"] = None if line.amount("left_over") is not None else difference.brought
        elif said == SOLD:
            line.amounts["brought"] = (line.amount("brought") or Decimal(0)) - difference.unaccounted
    if said == LEAVE_OUT:
        numbers = {line.number for line, _difference in pairs}
        reading.drop(lambda line: line.number in numbers, "balance")


def _ask_more_back(reading: Reading) -> None:
    """More came back than was there: a slip in one of the two figures, never taken as it stands."""
    asked = {doubt.key for doubt in reading.questions.open}
    wrong = [
        line
        for line in reading.lines
        if (line.amount("left_over") or 0) > (stock_of(line) or 0)
        # While it is open which of sold and brought is right, the same row is not asked about twice.
        and not (line.amount("sold") is not None and "balance.over" in asked)
    ]
    if not wrong:
        return
    rows = tuple(line.number for line in wrong)
    said = reading.questions.ask(
        "more back",
        _("Row %(row)d: %(left)s of %(item)s came back, but only %(brought)s were brought (all such rows: %(rows)s).")
        % {
            "row": wrong[0].number,
            "item": wrong[0].item,
            "left": plain(wrong[0].amount("left_over") or Decimal(0)),
            "brought": plain(stock_of(wrong[0]) or Decimal(0)),
            "rows": rows_in_words(rows),
        }
        + " "
        + _("What is wrong?"),
        (
            Choice(LEFT, _("What came back: take it as not noted")),
            Choice(
                BROUGHT, _("What was brought: take it as not noted, and leave the row out unless the sales tell it")
            ),
            Choice(LEAVE_OUT, _("Leave these rows out")),
        ),
        rows=rows,
        column=reading.mapping.heading("left_over"),
    )
    for line in wrong:
        if said == LEFT:
            line.amounts["left_over"] = None
        elif said == BROUGHT:
            line.amounts["brought"] = None
    if said == BROUGHT:
        _fill_brought(reading)
        reading.drop(lambda line: stock_of(line) is None, "not noted")
    elif said == LEAVE_OUT:
        numbers = set(rows)
        reading.drop(lambda line: line.number in numbers, "more back")


def plain(amount: Decimal) -> str:
    """12, 2.5: no noughts at the end, no exponent."""
    return f"{amount.normalize():f}"


def is_empty_at_the_end(line: Line) -> bool:
    """A noted sell-out that was not filled again."""
    if not line.out_at:
        return line.is_out
    return not (line.amount("restocked") and any(minute >= max(line.out_at) for minute in line.restocked_at))


def _ask_left_and_out(reading: Reading) -> None:
    wrong = [line for line in reading.lines if (line.amount("left_over") or 0) > 0 and is_empty_at_the_end(line)]
    if not wrong:
        return
    rows = tuple(line.number for line in wrong)
    first = wrong[0]
    said = reading.questions.ask(
        "left and out",
        _("Row %(row)d: %(item)s ran out, yet %(left)s came back (all such rows: %(rows)s). What is right?")
        % {
            "row": first.number,
            "item": first.item,
            "left": plain(first.amount("left_over") or Decimal(0)),
            "rows": rows_in_words(rows),
        },
        (
            Choice(BOTH, _("Both: what came back was not for sale")),
            Choice(LEFT, _("It did not run out")),
            Choice(TIME, _("It ran out; nothing came back")),
            Choice(LEAVE_OUT, _("Leave these rows out")),
        ),
        rows=rows,
        column=reading.mapping.heading("sold_out_at"),
        default=BOTH,
    )
    if said == LEAVE_OUT:
        numbers = set(rows)
        reading.drop(lambda line: line.number in numbers, "left and out")
    for line in wrong:
        if said == LEFT:
            line.out_at, line.is_out = (), False
        elif said == TIME:
            line.amounts["left_over"] = Decimal(0)
