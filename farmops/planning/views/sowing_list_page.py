"""What the sowing list shows: the stored plan line by line, beside what was chosen and what was started."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.forms import new_key
from farmops.farm.unit_words import unit_of_many
from farmops.growing.models import Planting, Variety
from farmops.planning.counting_on import live_choices
from farmops.planning.last_sowing_page import LastSowings, last_sowings_shown
from farmops.planning.models import SowingChoice
from farmops.planning.plan_words import cause_in_words, how_good
from farmops.planning.sowing_list import SMALL
from farmops.planning.sowing_list_choice import parts_in_words
from farmops.planning.stored_answers import Stored
from farmops.planning.views.plan_change_words import change_in_words, changes_in_words, told
from farmops.planning.views.room_worth_words import RoomShown, room_shown
from farmops.planning.views.sowing_sum import Step, sum_in_words, uses_in_words
from farmops.planning.views.weeks_ahead_words import ahead_in_words
from farmops.web.templatetags.formats import amount, dollars, in_words, one_place, week

WEEK = timedelta(days=7)
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Begun:
    """A planting that belongs to a line: planned, or sown already."""

    code: str
    is_sown: bool
    on: date
    parts: str


@dataclass(frozen=True, slots=True)
class Chosen:
    """The grower's own word on a line."""

    parts: int | None
    words: str
    reason: str
    entry: int


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One variety to sow this week.

    Attributes
    ----------
    variety : Variety
    monday : date
    proposed : float
        Parts of the plan. Where something was chosen: what the plan said then.
    words : str
        "3 × half tray": what was chosen, else what is proposed.
    left : int
        Parts of these that nobody started yet.
    state : str
        "open", "begun" (all planned or sown) or "not now".
    was : str
        What the answer before said and which fact changed it, where it said otherwise; "" = the same.
    reason : str
        Why, in a sentence; it opens into `uses` and `sum`.
    key : str
        Once-only key of its start.
    """

    variety: Variety
    monday: date
    day: date
    proposed: float
    words: str
    proposed_words: str
    left: int
    state: str
    becomes: str
    plants: str
    ready: str
    chosen: Chosen | None
    begun: tuple[Begun, ...]
    was: str
    reason: str
    key: str
    uses: tuple[Step, ...]
    sum: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class LaterWeek:
    week: str
    monday: date
    sowings: str


@dataclass(frozen=True, slots=True)
class SowingList:
    """Everything the list shows."""

    week: str
    monday: date
    is_past: bool
    kept: Stored
    how_good: str
    is_solved: bool
    let_go: bool
    expected: str
    lines: tuple[BenchLine, ...]
    later: tuple[LaterWeek, ...]
    unmet: tuple[str, ...]
    full: tuple[str, ...]
    over_full: tuple[str, ...]
    notes: tuple[str, ...]
    sown: tuple[str, ...]
    gone: tuple[str, ...]
    changes: tuple[Step, ...]
    ahead: tuple[tuple[str, str, str], ...]
    besides: tuple[str, ...]
    room: RoomShown | None
    last_days: LastSowings

    @property
    def open_lines(self) -> list[BenchLine]:
        return [line for line in self.lines if line.state == "open"]


def sowing_list(kept: Stored, today: date, worth: Stored | None = None) -> SowingList:
    """The list from what is kept. Three queries. `worth`: what one more space would earn, where that was asked."""
    answer, monday = kept.answer, date.fromisoformat(kept.answer["monday"])
    counted = set(answer["sown"])
    plantings = _of_the_week(monday)
    sown = [one for one in plantings if one.code in counted and one.state == "done"]
    lines = _lines(kept, monday, today, [one for one in plantings if one not in sown])
    shown = {line.variety.name for line in lines} | {one.variety.name for one in sown}
    return SowingList(
        week=week(monday),
        monday=monday,
        is_past=monday + WEEK <= today,
        kept=kept,
        how_good=how_good(answer["status"], answer["gap"]),
        is_solved=answer["status"] != "infeasible",
        let_go=answer["let_go"],
        expected=dollars(answer["expected_sales"]),
        lines=lines,
        later=tuple(_later(one) for one in answer["later"]),
        unmet=tuple(_unmet(one) for one in answer["unmet"]),
        full=tuple(
            _("%(kind)s: full in %(weeks)s")
            % {"kind": kind, "weeks": ", ".join(week(date.fromisoformat(day)) for day in weeks)}
            for kind, weeks in answer["full"]
        ),
        over_full=tuple(_over_full(*one) for one in answer["over_full"]),
        notes=tuple(answer["notes"]),
        sown=tuple(_sown_in_words(one) for one in sown),
        gone=tuple(_gone(answer, shown)),
        changes=tuple(changes_in_words(answer)),
        ahead=tuple(ahead_in_words(one) for one in answer["ahead"]),
        besides=tuple(_besides(answer, lines)),
        room=room_shown(worth, today) if worth else None,
        last_days=last_sowings_shown(answer["last_days"]),
    )


def _lines(kept: Stored, monday: date, today: date, plantings: Sequence[Planting]) -> tuple[BenchLine, ...]:
    planned = {one["variety"]: one for one in kept.answer["now"]}
    chosen = {variety: one for (variety, day), one in live_choices(monday).items() if day == monday}
    begun: dict[str, list[Planting]] = defaultdict(list)
    for one in plantings:
        begun[one.variety.name].append(one)
    known = set(planned) | set(chosen) | set(begun)
    varieties = sorted(Variety.objects.filter(name__in=known), key=lambda one: one.name.casefold())
    before = (kept.answer["before"] or {}).get("lines")
    without = kept.answer["without_room"]
    changes = {one["variety"]: one for one in told(kept.answer) if one["monday"] == monday.isoformat()}
    return tuple(
        _line(
            one,
            monday,
            max(monday, today),
            planned.get(one.name),
            chosen.get(one.name),
            begun.get(one.name, []),
            _was(one, planned.get(one.name), before, changes.get(one.name)),
            None if without is None else without.get(one.name, 0.0),
        )
        for one in varieties
    )


def _of_the_week(monday: date) -> list[Planting]:
    """Plantings of the week, and older plans that still wait. One query."""
    of_week = Q(sown_on__gte=monday, sown_on__lt=monday + WEEK, state__in=("planned", "done"))
    waiting = Q(sown_on__lt=monday, state="planned")
    return list(Planting.objects.filter(of_week | waiting).select_related("variety").order_by("pk"))


def _sown_in_words(one: Planting) -> str:
    parts = parts_in_words(one.plants / one.variety.part_plants, one.variety.part)
    return f"{one.code} {one.variety.name} {parts}"


def _line(
    variety: Variety,
    monday: date,
    day: date,
    planned: Mapping[str, Any] | None,
    choice: SowingChoice | None,
    plantings: Sequence[Planting],
    was: str,
    without: float | None,
) -> BenchLine:
    proposed = planned["parts"] if planned else 0.0
    if choice is not None:
        proposed = float(choice.entry.answer.get("proposed", proposed))
    wanted = proposed if choice is None else float(choice.parts or 0)
    started = sum(one.plants for one in plantings) / variety.part_plants
    left = max(0, math.ceil(wanted - started - SMALL))
    state = "open" if left else ("begun" if plantings else "not now")
    return BenchLine(
        variety=variety,
        monday=monday,
        day=day,
        proposed=proposed,
        words=parts_in_words(wanted, variety.part),
        proposed_words=parts_in_words(proposed, variety.part),
        left=left,
        state=state,
        becomes=planned["item"] if planned else "",
        plants=_plants(planned, wanted, variety),
        ready=_ready(planned["why"]) if planned else "",
        chosen=_chosen(choice),
        begun=tuple(
            Begun(
                one.code,
                one.state == "done",
                one.sown_on,
                parts_in_words(one.plants / variety.part_plants, variety.part),
            )
            for one in plantings
        ),
        was=was,
        reason=_reason(planned["why"]) if planned else "",
        key=new_key(),
        uses=tuple(uses_in_words(planned["why"])) if planned else (),
        sum=tuple(sum_in_words(planned, variety.part, without)) if planned else (),
    )


def _chosen(choice: SowingChoice | None) -> Chosen | None:
    if choice is None:
        return None
    words = _("not now") if choice.parts is None else parts_in_words(choice.parts, choice.variety.part)
    return Chosen(choice.parts, words, choice.reason, choice.entry_id)


def _plants(planned: Mapping[str, Any] | None, wanted: float, variety: Variety) -> str:
    """Plants to sow, and the cells there are for them where the whole parts have more."""
    cells = round(wanted * variety.part_plants)
    needed = planned["why"]["plants"] if planned and abs(planned["parts"] - wanted) < SMALL else cells
    if needed >= cells or (planned and planned["why"]["more"] > SMALL):
        return ngettext("%(cells)s plant", "%(cells)s plants", cells) % {"cells": amount(cells)}
    return _("%(needed)s plants in %(cells)s cells") % {"needed": amount(needed), "cells": amount(cells)}


def _ready(why: Mapping[str, Any]) -> str:
    first, last = (week(date.fromisoformat(why[name])) for name in ("first", "last"))
    return first if first == last else _("%(first)s to %(last)s") % {"first": first, "last": last}


def _reason(why: Mapping[str, Any]) -> str:
    """Why, in a sentence."""
    outlets = list(dict.fromkeys(outlet for _day, outlet, _item, items, _in_sum in why["uses"] if items > SMALL))
    for_whom = ", ".join(outlets[:MOST_NAMED]) + (" …" if len(outlets) > MOST_NAMED else "")
    figures = {
        "weeks": _ready(why),
        "outlets": for_whom,
        "wanted": amount(why["wanted"]),
        "coming": amount(why["coming"]),
        "short": amount(why["short"]),
        "unit": unit_of_many(why["unit"]),
    }
    if not outlets:
        return _("For weeks after those looked at.")
    if why["coming"] < SMALL:
        return _("%(wanted)s %(unit)s wanted in %(weeks)s for %(outlets)s; nothing else is coming.") % figures
    return _("%(wanted)s %(unit)s wanted in %(weeks)s for %(outlets)s; %(coming)s coming, %(short)s short.") % figures


def _was(
    variety: Variety,
    planned: Mapping[str, Any] | None,
    before: Mapping[str, Any] | None,
    change: Mapping[str, Any] | None,
) -> str:
    """Old → new with the fact behind it, where the records changed what is wanted or how much is sown for it."""
    if change is not None:
        return change_in_words(change, variety.part)
    if before is None or planned is None:
        return ""
    _parts, wanted = before.get(variety.name, (0.0, 0.0))
    if amount(planned["why"]["wanted"]) == amount(wanted):
        return ""
    return _("wanted %(old)s → %(new)s %(unit)s") % {
        "old": amount(wanted),
        "new": amount(planned["why"]["wanted"]),
        "unit": unit_of_many(planned["why"]["unit"]),
    }


def _gone(answer: Mapping[str, Any], shown: set[str]) -> list[str]:
    """What the answer before proposed for this week and this one does not."""
    before = (answer["before"] or {}).get("lines", {})
    still = {one["variety"] for one in answer["now"]} | shown
    return [
        f"{variety} ({amount(parts)})" for variety, (parts, _wanted) in sorted(before.items()) if variety not in still
    ]


def _besides(answer: Mapping[str, Any], lines: Sequence[BenchLine]) -> list[str]:
    """What would be sown besides this week if there were room for everything."""
    listed = {line.variety.name for line in lines}
    return [
        f"{variety} ({amount(parts)})"
        for variety, parts in sorted((answer["without_room"] or {}).items())
        if variety not in listed and parts > SMALL
    ]


def _later(one: Mapping[str, Any]) -> LaterWeek:
    monday = date.fromisoformat(one["monday"])
    sowings = ", ".join(f"{variety} {parts_in_words(parts, part)}" for variety, part, parts in one["sowings"])
    return LaterWeek(week(monday), monday, sowings)


def _unmet(one: Mapping[str, Any]) -> str:
    words = ngettext(
        "%(outlet)s, %(item)s: %(short)s of %(amount)s missing on %(first)s (%(cause)s)",
        "%(outlet)s, %(item)s: %(short)s of %(amount)s missing on %(count)d days from %(first)s on (%(cause)s)",
        one["days"],
    )
    return words % {
        "outlet": one["outlet"],
        "item": one["item"],
        "short": one_place(one["short"]),
        "amount": one_place(one["amount"]),
        "count": one["days"],
        "first": in_words(date.fromisoformat(one["first"])),
        "cause": cause_in_words(one["cause"]),
    }


def _over_full(kind: str, over: float, first: str, last: str) -> str:
    return _("%(kind)s: %(over)s places too much from %(from)s to %(to)s") % {
        "kind": kind,
        "over": one_place(over),
        "from": in_words(date.fromisoformat(first)),
        "to": in_words(date.fromisoformat(last)),
    }
