"""What the sowing page shows: what to sow this week with the sum behind it, later weeks, promises in danger."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.plan_answer import status_in_words
from farmops.exchange.views.notebook_page.shown import SumLine
from farmops.planning.plan_words import cause_in_words
from farmops.planning.sowing import Promised, SowingLine, SowingPlan
from farmops.planning.why import Use
from farmops.web.templatetags.formats import amount, dollars, in_words, one_place, week

SMALL = 0.05  # of an item: not worth a line


@dataclass(frozen=True, slots=True)
class SowLine:
    """One sowing."""

    id: str
    parts: str
    variety: str
    plants: str
    ready: str
    becomes: str
    uses: tuple[SumLine, ...]
    sum: tuple[SumLine, ...]


@dataclass(frozen=True, slots=True)
class LaterWeek:
    """A week to come and what the plan would sow in it."""

    week: str
    day: date
    sowings: str


@dataclass(frozen=True, slots=True)
class SowingPage:
    """Everything the page shows."""

    as_of: date
    week: str
    monday: date
    now: tuple[SowLine, ...]
    later: tuple[LaterWeek, ...]
    unmet: tuple[str, ...]
    expected: str
    status: str
    full: tuple[str, ...]
    over_full: tuple[str, ...]
    notes: tuple[str, ...]


def make_sowing_page(answer: SowingPlan) -> SowingPage:
    """The page for a plan."""
    monday = answer.horizon.monday(0)
    return SowingPage(
        as_of=answer.horizon.as_of,
        week=week(monday),
        monday=monday,
        now=tuple(_line(answer, line, at) for at, line in enumerate(answer.lines) if line.week == 0),
        later=tuple(_later(answer)),
        unmet=tuple(_unmet(answer)),
        expected=dollars(answer.expected_sales),
        status=status_in_words(answer.plan),
        full=tuple(_full(answer)),
        over_full=tuple(
            _("%(kind)s: %(over)s places too much from %(from)s to %(to)s")
            % {
                "kind": over.kind,
                "over": one_place(over.clash.over),
                "from": in_words(over.clash.from_day),
                "to": in_words(over.clash.to_day),
            }
            for over in answer.over_full
        ),
        notes=answer.notes,
    )


def parts_in_words(line: SowingLine) -> str:
    """ "3 × half tray"."""
    parts = amount(line.parts) if line.is_whole else one_place(line.parts)
    return f"{parts} × {line.variety.part}"


def _line(answer: SowingPlan, line: SowingLine, at: int) -> SowLine:
    why = line.why
    first, last = (week(answer.horizon.monday(at)) for at in (why.first_week, why.last_week))
    return SowLine(
        id=f"sow-{at}",
        parts=parts_in_words(line),
        variety=line.variety.variety,
        plants=_plants(line),
        ready=first if first == last else _("%(first)s to %(last)s") % {"first": first, "last": last},
        becomes=line.item,
        uses=tuple(_use(use, why.unit) for use in why.uses if use.amount > SMALL),
        sum=tuple(_sum(line)),
    )


def _plants(line: SowingLine) -> str:
    """Plants to sow, and the cells there are for them where the whole parts have more."""
    cells, needed = round(line.plants), min(line.why.plants, round(line.plants))
    if line.why.more > SMALL or needed >= cells:
        return amount(cells)
    return _("%(needed)s of %(cells)s cells") % {"needed": amount(needed), "cells": amount(cells)}


def _use(use: Use, unit: str) -> SumLine:
    """One use in the unit of the sum, with the items it is where that is another unit."""
    items = "" if abs(use.in_sum - use.amount) < SMALL else f" ({one_place(use.amount)})"
    return SumLine(f"{in_words(use.day)}, {use.outlet}: {use.item}{items}", f"{amount(use.in_sum)} {unit}")


def _sum(line: SowingLine) -> list[SumLine]:
    why, unit = line.why, line.why.unit
    steps = [
        SumLine(_("Wanted in these weeks"), f"{amount(why.wanted)} {unit}"),
        SumLine(_("Coming from what stands or is sown besides"), f"{amount(why.coming)} {unit}"),
        SumLine(_("Short"), f"{amount(why.short)} {unit}"),
        SumLine(
            _("÷ %(each)s a plant ÷ %(live)s that live = plants")
            % {"each": f"{why.per_plant:.3g}", "live": f"{why.survive:.0%}"},
            amount(why.plants),
        ),
        SumLine(_("in whole parts (%(part)s)") % {"part": line.variety.part}, amount(why.parts)),
    ]
    if why.more > SMALL:
        reason = _("for weeks after those looked at") if why.more_for == "after" else _("to spare")
        steps.append(SumLine(_("and besides, %(reason)s") % {"reason": reason}, amount(why.more)))
    return steps


def _unmet(answer: SowingPlan) -> list[str]:
    """Promises that fall short, one line for each outlet, item and cause."""
    short: dict[tuple[str, str, str], list[Promised]] = {}
    for promise in answer.promised:
        if promise.met < float(promise.want.amount) - SMALL:
            short.setdefault((promise.want.outlet, promise.want.item, promise.cause), []).append(promise)
    lines = []
    for (outlet, item, cause), promises in sorted(short.items(), key=lambda entry: entry[1][0].want.day):
        days = [in_words(promise.want.day) for promise in promises]
        words = ngettext(
            "%(outlet)s, %(item)s: %(short)s of %(amount)s missing on %(first)s (%(cause)s)",
            "%(outlet)s, %(item)s: %(short)s of %(amount)s missing on %(count)d days from %(first)s on (%(cause)s)",
            len(promises),
        )
        lines.append(
            words
            % {
                "outlet": outlet,
                "item": item,
                "short": one_place(sum(float(promise.want.amount) - promise.met for promise in promises)),
                "amount": one_place(sum(float(promise.want.amount) for promise in promises)),
                "count": len(promises),
                "first": days[0],
                "cause": cause_in_words(cause),
            }
        )
    return lines


def _later(answer: SowingPlan) -> list[LaterWeek]:
    weeks: dict[int, list[SowingLine]] = {}
    for line in answer.lines:
        if line.week > 0 and line.is_whole:
            weeks.setdefault(line.week, []).append(line)
    return [
        LaterWeek(
            week(answer.horizon.monday(at)),
            answer.horizon.monday(at),
            ", ".join(f"{line.variety.variety} {parts_in_words(line)}" for line in lines),
        )
        for at, lines in sorted(weeks.items())
    ]


def _full(answer: SowingPlan) -> list[str]:
    """Kinds of space that limit the plan, with the weeks in which they do."""
    kinds: dict[str, list[str]] = {}
    for room in answer.plan.room:
        if room.binding:
            kinds.setdefault(room.kind, []).append(week(answer.horizon.monday(room.week)))
    return [
        _("%(kind)s: full in %(weeks)s") % {"kind": kind, "weeks": ", ".join(weeks)}
        for kind, weeks in sorted(kinds.items())
    ]
