"""Lines to the records of the demand arithmetic; what is left out is counted with its reason."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.demand.records import MarketRecord
from farmops.exchange.notebook.doubts import LEAVE_OUT, Choice, rows_in_words
from farmops.exchange.notebook.lines import Line, Reading
from farmops.exchange.notebook.refusal import NotebookRefused

STEPS = tuple(Decimal(text) for text in ("1", "0.5", "0.25", "0.1", "0.05", "0.01"))
MOST_STEPS = 200_000
NOTED, COUNTED, SOLD, ADD, FIRST = "noted", "count", "sold", "add", "first"
BOTH, LEFT, TIME = "both", "left", "time"


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
    for name in ("brought", "sold", "left_over", "carried_in", "restocked"):
        one, two = first.amount(name), second.amount(name)
        both_needed = name in ("brought", "sold", "left_over")
        if one is None and two is None:
            continue
        first.amounts[name] = None if both_needed and None in (one, two) else (one or Decimal(0)) + (two or Decimal(0))
    first.out_at = tuple(sorted({*first.out_at, *second.out_at}))[-1:]
    first.is_out = first.is_out and second.is_out
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


def step_of_items(reading: Reading) -> dict[str, Decimal]:
    """What is counted of each item: as noted last, else the largest usual step that all its amounts are made of."""
    noted: dict[str, tuple[date, Decimal]] = {}
    amounts: dict[str, set[Decimal]] = {}
    for line in reading.lines:
        step = line.amount("step")
        if step and line.day and (line.item not in noted or line.day >= noted[line.item][0]):
            noted[line.item] = (line.day, step)
        found = amounts.setdefault(line.item, set())
        found.update(
            amount for name in ("brought", "left_over", "sold", "carried_in", "restocked")
            if (amount := line.amount(name)) is not None
        )  # fmt: skip
    steps = {}
    for item, found in amounts.items():
        fitting = (step for step in STEPS if all(amount % step == 0 for amount in found))
        steps[item] = noted[item][1] if item in noted else next(fitting, STEPS[-1])
        if found and max(found) / steps[item] > MOST_STEPS:
            raise NotebookRefused(
                _("%(item)s is counted in steps of %(step)s, too small for %(most)s of it.")
                % {"item": item, "step": steps[item], "most": plain(max(found))},
                _("Write what is really counted, e.g. 0.25, and try again."),
                column=reading.mapping.heading("step"),
            )
    return steps


@dataclass(slots=True)
class Rounding:
    """How many amounts were no whole number of steps."""

    count: int = 0

    def steps(self, amount: Decimal | None, step: Decimal) -> int | None:
        if amount is None:
            return None
        whole = round(amount / step)
        self.count += whole * step != amount
        return int(whole)


def make_records(reading: Reading, steps: dict[str, Decimal]) -> tuple[MarketRecord, ...]:
    """The records of all lines left; amounts rounded to whole steps are counted in a warning."""
    rounding = Rounding()
    records = [_record(line, steps[line.item], rounding) for line in reading.lines if line.day is not None]
    if rounding.count:
        reading.warnings.append(
            _("%(count)d amounts are no whole number of steps and were rounded to the nearest.")
            % {"count": rounding.count}
        )
    return tuple(records)


def _record(line: Line, step: Decimal, rounding: Rounding) -> MarketRecord:
    count = {name: rounding.steps(line.amount(name), step) for name in ("brought", "left_over", "sold", "carried_in")}
    brought, carried = count["brought"] or 0, count["carried_in"] or 0
    left, sold, price = count["left_over"], count["sold"], line.amount("price")
    restocks = _restocks(line, rounding.steps(line.amount("restocked"), step) or 0)
    sold_all = left is None and sold is not None and sold >= brought + carried
    return MarketRecord(
        day=line.day or date.min,
        market=line.market,
        item=line.item,
        opens=line.opens or 0,
        closes=line.closes or 0,
        brought=brought,
        carried_in=carried,
        restocks=restocks,
        sold=sold,
        left=left,
        ran_out=left == 0 or sold_all or is_empty_at_the_end(line),
        ran_out_at=line.out_at,
        price=None if price is None else float(price * step),
        weather=line.weather,
        left_at=line.left_at,
    )


def _restocks(line: Line, count: int) -> tuple[tuple[int, int], ...]:
    """What was put out later, split evenly over the times noted; without a time it counts as there from the start."""
    times = line.restocked_at
    if not times or not count:
        return ()
    each, rest = divmod(count, len(times))
    return tuple((minute, each + (at < rest)) for at, minute in enumerate(times) if each + (at < rest))


def left_out_reasons(counts: Counter[str]) -> tuple[tuple[str, int, str], ...]:
    """(reason, rows, words) for what was left out, in a fixed order."""
    words = {
        "after": _("after the day asked for"),
        "called off": _("market called off: a gap, not a zero"),
        "planned": _("not held yet"),
        "nothing brought": _("nothing brought: says nothing about what was wanted"),
        "not noted": _("what was brought is not noted"),
        "no item": _("no item named"),
        "no date": _("no date"),
        "no market": _("no market named"),
        "unreadable": _("could not be read"),
        "negative": _("less than nothing"),
        "absurd": _("more than can be"),
        "large": _("far more than usual"),
        "weights": _("in another unit of weight"),
        "twice": _("the same day, market and item again"),
        "added": _("added to an earlier row"),
        "outside": _("ran out outside the hours"),
        "hours": _("closed before it opened"),
        "balance": _("sums do not meet"),
        "left and out": _("ran out, yet some came back"),
    }
    return tuple(
        (reason, counts[reason], words.get(reason, reason))
        for reason in dict.fromkeys([*words, *counts])
        if counts[reason]
    )
