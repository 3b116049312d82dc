"""Lines to the records of the demand arithmetic; what is left out is counted with its reason."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.demand.records import MarketRecord
from farmops.exchange.notebook.lines import Line, Reading
from farmops.exchange.notebook.refusal import NotebookRefused
from farmops.exchange.notebook.settling import is_empty_at_the_end, plain

STEPS = tuple(Decimal(text) for text in ("1", "0.5", "0.25", "0.1", "0.05", "0.01"))
MOST_STEPS = 200_000


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
            amount for name in ("brought", "left_over", "sold", "carried_in", "restocked", "not_wasted")
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
            ngettext(
                "%(count)d amount is no whole number of steps and was rounded to the nearest.",
                "%(count)d amounts are no whole number of steps and were rounded to the nearest.",
                rounding.count,
            )
            % {"count": rounding.count}
        )
    return tuple(records)


def _record(line: Line, step: Decimal, rounding: Rounding) -> MarketRecord:
    count = {name: rounding.steps(line.amount(name), step) for name in ("brought", "left_over", "sold", "carried_in")}
    brought, carried = count["brought"] or 0, count["carried_in"] or 0
    left, sold, price = count["left_over"], count["sold"], line.amount("price")
    not_wasted = rounding.steps(line.amount("not_wasted"), step) or 0
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
        not_wasted=min(not_wasted, left or 0),
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
        "more back": _("more came back than was brought"),
        "left and out": _("ran out, yet some came back"),
    }
    return tuple(
        (reason, counts[reason], words.get(reason, reason))
        for reason in dict.fromkeys([*words, *counts])
        if counts[reason]
    )
