"""The lines of the sowing list: each variety of the week beside what was chosen and what was started."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
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
from farmops.planning.sowing_list import SMALL
from farmops.planning.sowing_list_choice import parts_in_words
from farmops.planning.stored_answers import Stored
from farmops.planning.views.plan_change_words import change_in_words, told
from farmops.planning.views.sowing_sum import Step, sum_in_words, uses_in_words, yours_in_words
from farmops.web.templatetags.formats import amount, week

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


@dataclass(frozen=True)
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
        Why, in a sentence; it opens into `uses` and `sum`, which are put into words where they are shown.
    key : str
        Once-only key of its start.
    planned : mapping or None
        The plan's own line, as it was kept; where something was chosen, that of the plan before the choice.
    gives : float or None
        What of its shortfall the chosen number covers; None where nothing was chosen.
    without : float or None
        Parts there would be without the limit of room.
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
    planned: Mapping[str, Any] | None
    gives: float | None
    without: float | None

    @cached_property
    def uses(self) -> Sequence[Step]:
        return uses_in_words(self.planned["why"]) if self.planned else ()

    @cached_property
    def sum(self) -> Sequence[Step]:
        if not self.planned:
            return ()
        steps = sum_in_words(self.planned, self.variety.part, self.without)
        return [*steps, *yours_in_words(self.planned, self.words, self.gives)]


@dataclass(frozen=True, slots=True)
class BenchPaper:
    """What of the list goes onto paper."""

    week: str
    monday: date
    kept: Stored
    lines: tuple[BenchLine, ...]
    last_days: LastSowings


def bench_paper(kept: Stored, today: date) -> BenchPaper:
    """Three queries."""
    monday = date.fromisoformat(kept.answer["monday"])
    lines = bench_lines(kept.answer, today)
    return BenchPaper(week(monday), monday, kept, lines, last_sowings_shown(kept.answer["last_days"]))


def bench_lines(answer: Mapping[str, Any], today: date, of: Variety | None = None) -> tuple[BenchLine, ...]:
    """The lines alone: three queries; or the one `of` a variety: two."""
    counted = set(answer["sown"])
    plantings = of_the_week(date.fromisoformat(answer["monday"]))
    return lines_of_week(
        answer, today, [one for one in plantings if one.code not in counted or one.state != "done"], of
    )


def lines_of_week(
    answer: Mapping[str, Any], today: date, plantings: Sequence[Planting], of: Variety | None = None
) -> tuple[BenchLine, ...]:
    monday = date.fromisoformat(answer["monday"])
    planned = {one["variety"]: one.get("asked", one) for one in answer["now"]}
    gives = {one["variety"]: one["why"]["short"] if one["parts"] else 0.0 for one in answer["now"] if "asked" in one}
    chosen = {variety: one for (variety, day), one in live_choices(monday).items() if day == monday}
    begun: dict[str, list[Planting]] = defaultdict(list)
    for one in plantings:
        begun[one.variety.name].append(one)
    known = set(planned) | set(chosen) | set(begun)
    if of is None:
        varieties = sorted(Variety.objects.filter(name__in=known), key=lambda one: one.name.casefold())
    else:
        varieties = [of] if of.name in known else []
    before = (answer["before"] or {}).get("lines")
    without = answer["without_room"]
    changes = {one["variety"]: one for one in told(answer) if one["monday"] == monday.isoformat()}
    return tuple(
        _line(
            one,
            monday,
            max(monday, today),
            planned.get(one.name),
            chosen.get(one.name),
            begun.get(one.name, []),
            _was(one, planned.get(one.name), before, changes.get(one.name)),
            gives.get(one.name),
            None if without is None else without.get(one.name, 0.0),
        )
        for one in varieties
    )


def of_the_week(monday: date) -> list[Planting]:
    """Plantings of the week, and older plans that still wait. One query."""
    of_week = Q(sown_on__gte=monday, sown_on__lt=monday + WEEK, state__in=("planned", "done"))
    waiting = Q(sown_on__lt=monday, state="planned")
    beside = ("variety__name", "variety__part", "variety__part_plants")
    plantings = Planting.objects.filter(of_week | waiting).select_related("variety").order_by("pk")
    return list(plantings.only("code", "state", "sown_on", "plants", *beside))


def _line(
    variety: Variety,
    monday: date,
    day: date,
    planned: Mapping[str, Any] | None,
    choice: SowingChoice | None,
    plantings: Sequence[Planting],
    was: str,
    gives: float | None,
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
        planned=planned,
        gives=gives,
        without=without,
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
        return _("%(wanted)s %(unit)s wanted in %(weeks)s for %(outlets)s; nothing else is there for them.") % figures
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
