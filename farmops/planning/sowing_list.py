"""The sowing list: the plan from the farm's tables, with what the grower chose or started counted on."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from farmops.core.calendar import monday_of
from farmops.core.sizing import Accepted, Plan, Problem, Rule, Settings
from farmops.planning.farm_there import check_there
from farmops.planning.from_tables import farm_rows
from farmops.planning.horizon import Horizon, horizon_from
from farmops.planning.last_sowing import last_sowings
from farmops.planning.models import SowingChoice, StoredAnswer
from farmops.planning.plan_changes import changes_of
from farmops.planning.plan_facts import facts_of
from farmops.planning.rows import FarmRows
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Promised, Solver, SowingLine, SowingPlan, plan_sowings
from farmops.planning.stored_answers import HISTORY, Json, Stored, stored, work_out

KIND = StoredAnswer.Kind.SOWING
UNNOTED_COST = 1.25  # of a part, in the farm's currency, where none is noted: about its seed and soil
CHANGE_SHARE = 0.8  # of the cheapest part: a change must cost less than sowing a part, or what nobody wants would stay
SMALL = 0.05  # of an item or a part: not worth a line
Sowings = Mapping[tuple[str, int], float]  # parts by variety and week


@dataclass(slots=True)
class CountingOn:
    """A solver that holds to what the grower said, and changes what was proposed besides only where it pays.

    Attributes
    ----------
    solver : callable
    chosen : mapping of (variety, week) to parts
        Said by the grower: so many, no more and no fewer.
    before : mapping of (variety, week) to parts
        Proposed before: what is changed of it must pay for the change.
    let_go : bool
        Whether not everything that was chosen or started could be held to: there is no room for all of it.
    """

    solver: Solver
    chosen: Sowings
    before: Sowings
    let_go: bool = False

    def __call__(self, problem: Problem, settings: Settings) -> Plan:
        items = {(one.way, one.week): one.item for one in problem.sowings}
        started = {(one.way, one.week): one.parts for one in problem.accepted or () if (one.way, one.week) in items}
        chosen = {place: parts for place, parts in self.chosen.items() if place in items}
        at_most = [
            Rule("sow_at_most", items[place], *place, math.ceil(max(parts, started.get(place, 0.0))))
            for place, parts in chosen.items()
        ]
        at_least = [
            Rule("sow_at_least", items[place], *place, math.floor(parts))
            for place, parts in {**chosen, **started}.items()
        ]
        asked = replace(
            problem,
            sowings=tuple(replace(one, cost=one.cost or UNNOTED_COST) for one in problem.sowings),
            accepted=self._accepted(items, {**chosen, **started}),
        )
        cheapest = min((one.cost for one in asked.sowings), default=UNNOTED_COST)
        settings = replace(settings, change_price=min(settings.change_price, CHANGE_SHARE * cheapest))
        plan = self.solver(replace(asked, rules=(*at_most, *at_least)), settings)
        self.let_go = plan.status == "infeasible" and bool(at_least)
        return self.solver(replace(asked, rules=tuple(at_most)), settings) if self.let_go else plan

    def _accepted(self, items: Mapping[tuple[str, int], str], held: Sowings) -> tuple[Accepted, ...]:
        before = {place: parts for place, parts in self.before.items() if place in items}
        counted = {**before, **held}
        return tuple(Accepted(items[way, week], week, parts, way) for (way, week), parts in counted.items() if parts)


def work_out_sowings(today: date, now: datetime, *, solver: Solver = solve_apart) -> Stored:
    """Plan from the tables and keep the plan.

    Raises
    ------
    BeingWorkedOut
        If that is under way already.
    FaultsFound, ValueError
        If the records lack what a plan needs, or hold what cannot be planned with.
    SolverFailed
        If the solver hung or fell over; what was kept before stays.
    """
    old = stored(KIND)
    return work_out(KIND, lambda: sowing_answer(today, old, solver), as_of=today, now=now)


def sowing_answer(today: date, old: Stored | None, solver: Solver = solve_apart) -> Json:
    """The plan as it is kept: codes and figures, and which day's proposal it followed."""
    rows = farm_rows(since=today - HISTORY)
    check_there(rows)
    rows = with_late_plans(rows, today)
    horizon = horizon_from(today)
    counting = CountingOn(solver, chosen_parts(horizon), left_of(proposed_before(old, horizon), rows, old, horizon))
    plan = plan_sowings(rows, today, solver=counting)
    answer = {
        **answer_of(plan),
        "let_go": counting.let_go,
        "sown": [one.planting for one in rows.plantings if one.state == "done" and one.sown >= horizon.start],
        "last_days": last_sowings(rows, today),
        "before": lines_before(old, horizon.start),
        "facts": facts_of(plan, rows),
        "whole_weeks": [horizon.monday(week).isoformat() for week in range(Settings().whole_weeks or horizon.weeks)],
    }
    return {**answer, "changes": _changes(old, answer, rows, horizon, counting.chosen)}


def _changes(
    old: Stored | None, answer: Json, rows: FarmRows, horizon: Horizon, chosen: Mapping[tuple[str, int], float]
) -> list[Json]:
    own = {(variety, horizon.monday(week).isoformat()) for variety, week in chosen}
    of_weeks = [(one, monday_of(one.sown).isoformat()) for one in rows.plantings if one.sown >= horizon.start]
    own |= {(one.variety, monday) for one, monday in of_weeks if one.state == "planned"}
    known = set(old.answer["sown"]) if old else set()
    sown = {(one.variety, monday) for one, monday in of_weeks if one.state == "done" and one.planting not in known}
    return changes_of(old.answer if old else None, answer, own, sown)


def with_late_plans(rows: FarmRows, today: date) -> FarmRows:
    """Sowings planned for days gone by and not sown yet are still to be sown: now."""
    start = max(horizon_from(today).start, today)
    return replace(
        rows,
        plantings=tuple(
            replace(one, sown=start) if one.state == "planned" and one.sown < start else one for one in rows.plantings
        ),
    )


def live_choices(monday: date) -> dict[tuple[str, date], SowingChoice]:
    """What the grower chose from a week on, the last word on each line. One query."""
    choices = SowingChoice.objects.live().filter(week__gte=monday).select_related("variety", "entry").order_by("pk")
    return {(one.variety.name, one.week): one for one in choices}


def chosen_parts(horizon: Horizon) -> dict[tuple[str, int], float]:
    return {
        (variety, horizon.week(week)): float(one.parts or 0)
        for (variety, week), one in live_choices(horizon.start).items()
        if horizon.week(week) < horizon.weeks
    }


def proposed_before(old: Stored | None, horizon: Horizon) -> dict[tuple[str, int], float]:
    """Whole parts of the answer before, by week of the new one."""
    if old is None:
        return {}
    found = {(line["variety"], date.fromisoformat(old.answer["monday"])): line["parts"] for line in old.answer["now"]}
    for later in old.answer["later"]:
        monday = date.fromisoformat(later["monday"])
        found |= {(variety, monday): parts for variety, _part, parts in later["sowings"]}
    return {
        (variety, horizon.week(monday)): parts
        for (variety, monday), parts in found.items()
        if horizon.start <= monday < horizon.end
    }


def left_of(proposed: Sowings, rows: FarmRows, old: Stored | None, horizon: Horizon) -> dict[tuple[str, int], float]:
    """What was proposed before, less what was sown of it since."""
    left = dict(proposed)
    sizes = {one.variety: max(1, one.part_plants) for one in rows.varieties}
    known = set(old.answer["sown"]) if old else set()
    for one in rows.plantings:
        place = (one.variety, horizon.week(one.sown))
        if one.state == "done" and one.planting not in known and place in left:
            left[place] = max(0.0, left[place] - one.plants / sizes[one.variety])
    return left


def lines_before(old: Stored | None, monday: date) -> Json | None:
    """This week's lines of the answer before, to be shown beside the new ones."""
    if old is None or old.answer["monday"] != monday.isoformat():
        return None
    return {
        "made_at": old.made_at.isoformat(),
        "lines": {one["variety"]: [one["parts"], one["why"]["wanted"]] for one in old.answer["now"]},
    }


def answer_of(answer: SowingPlan) -> Json:
    """A plan as JSON: what the list shows."""
    horizon, plan = answer.horizon, answer.plan
    later: dict[int, list[SowingLine]] = {}
    for line in answer.lines:
        if line.week > 0 and line.is_whole:
            later.setdefault(line.week, []).append(line)
    return {
        "monday": horizon.start.isoformat(),
        "status": plan.status,
        "gap": plan.gap,
        "expected_sales": round(answer.expected_sales, 2),
        "now": [_line(answer, line) for line in answer.lines if line.week == 0],
        "later": [
            {
                "monday": horizon.monday(week).isoformat(),
                "sowings": [[line.variety.variety, line.variety.part, round(line.parts, 4)] for line in lines],
            }
            for week, lines in sorted(later.items())
        ],
        "unmet": _unmet(answer.promised),
        "full": _full(answer),
        "over_full": [
            [over.kind, over.clash.over, over.clash.from_day.isoformat(), over.clash.to_day.isoformat()]
            for over in answer.over_full
        ],
        "notes": list(answer.notes),
    }


def _line(answer: SowingPlan, line: SowingLine) -> Json:
    why, horizon = line.why, answer.horizon
    return {
        "variety": line.variety.variety,
        "part": line.variety.part,
        "item": line.item,
        "day": line.day.isoformat(),
        "parts": round(line.parts, 4),
        "cells": round(line.plants),
        "why": {
            "first": horizon.monday(why.first_week).isoformat(),
            "last": horizon.monday(why.last_week).isoformat(),
            "uses": [[use.day.isoformat(), use.outlet, use.item, use.amount, use.in_sum] for use in why.uses],
            "wanted": why.wanted,
            "coming": why.coming,
            "short": why.short,
            "per_plant": why.per_plant,
            "survive": why.survive,
            "plants": why.plants,
            "parts": why.parts,
            "unit": why.unit,
            "more": why.more,
            "more_for": why.more_for,
        },
    }


def _unmet(promised: Sequence[Promised]) -> list[Json]:
    """Promises that fall short, one row for each outlet, item and cause, the earliest first."""
    short: dict[tuple[str, str, str], list[Promised]] = {}
    for promise in promised:
        if promise.met < float(promise.want.amount) - SMALL:
            short.setdefault((promise.want.outlet, promise.want.item, promise.cause), []).append(promise)
    return [
        {
            "outlet": outlet,
            "item": item,
            "cause": cause,
            "first": promises[0].want.day.isoformat(),
            "days": len(promises),
            "short": math.fsum(float(promise.want.amount) - promise.met for promise in promises),
            "amount": math.fsum(float(promise.want.amount) for promise in promises),
        }
        for (outlet, item, cause), promises in sorted(short.items(), key=lambda entry: entry[1][0].want.day)
    ]


def _full(answer: SowingPlan) -> list[list[object]]:
    """Kinds of space that limit the plan, with the Mondays of the weeks in which they do."""
    kinds: dict[str, list[str]] = {}
    for room in answer.plan.room:
        if room.binding:
            kinds.setdefault(room.kind, []).append(answer.horizon.monday(room.week).isoformat())
    return [[kind, weeks] for kind, weeks in sorted(kinds.items())]


def this_monday(today: date) -> date:
    """The Monday of the week the list is for: on a weekend, the next."""
    return monday_of(horizon_from(today).start)
