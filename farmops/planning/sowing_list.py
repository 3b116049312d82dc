"""The sowing list: the plan from the farm's tables, with what the grower chose or started counted on."""

import math
from collections.abc import Mapping, Sequence, Set
from datetime import date, datetime

from farmops.core.calendar import monday_of
from farmops.core.sizing import Settings
from farmops.planning.counting_on import planned_from_tables
from farmops.planning.horizon import Horizon, horizon_from
from farmops.planning.last_sowing import last_sowings
from farmops.planning.models import StoredAnswer
from farmops.planning.plan_changes import changes_of
from farmops.planning.plan_facts import facts_of
from farmops.planning.room_worth import without_room_limit
from farmops.planning.rows import FarmRows
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Promised, Solver, SowingLine, SowingPlan
from farmops.planning.stored_answers import Json, Stored, stored, work_out
from farmops.planning.weeks_ahead import ahead_of

KIND = StoredAnswer.Kind.SOWING
SMALL = 0.05  # of an item or a part: not worth a line


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
    planned = planned_from_tables(today, old, solver)
    rows, plan, counting = planned.rows, planned.plan, planned.counting
    horizon = plan.horizon
    solved = plan.plan.objective is not None
    told = answer_of(plan)
    answer = {
        **told,
        "now": _with_what_was_asked(
            told["now"], old, horizon.start, {name for name, week in counting.chosen if not week}
        ),
        "ahead": ahead_of(plan, rows) if solved else [],
        "without_room": without_room_limit(planned) if solved else None,
        "let_go": counting.let_go,
        "sown": [one.planting for one in rows.plantings if one.state == "done" and one.sown >= horizon.start],
        "last_days": last_sowings(rows, today),
        "before": lines_before(old, horizon.start),
        "facts": facts_of(plan, rows),
        "whole_weeks": [horizon.monday(week).isoformat() for week in range(Settings().whole_weeks or horizon.weeks)],
    }
    return {**answer, "changes": _changes(old, answer, rows, horizon, counting.chosen)}


def _with_what_was_asked(now: list[Json], old: Stored | None, monday: date, chosen: Set[str]) -> list[Json]:
    """Beside a line that follows the grower's own number stays what was proposed before, with its sum."""
    if old is None or old.answer["monday"] != monday.isoformat():
        return now
    lines = {line["variety"]: line for line in now}
    for before in old.answer["now"]:
        name = before["variety"]
        if name in chosen:
            asked = before.get("asked") or {
                key: before[key] for key in ("item", "part", "day", "parts", "cells", "why")
            }
            lines[name] = {**lines.get(name, {**before, "parts": 0.0, "cells": 0}), "asked": asked}
    return [lines[name] for name in sorted(lines)]


def _changes(
    old: Stored | None, answer: Json, rows: FarmRows, horizon: Horizon, chosen: Mapping[tuple[str, int], float]
) -> list[Json]:
    own = {(variety, horizon.monday(week).isoformat()) for variety, week in chosen}
    of_weeks = [(one, monday_of(one.sown).isoformat()) for one in rows.plantings if one.sown >= horizon.start]
    own |= {(one.variety, monday) for one, monday in of_weeks if one.state == "planned"}
    known = set(old.answer["sown"]) if old else set()
    sown = {(one.variety, monday) for one, monday in of_weeks if one.state == "done" and one.planting not in known}
    return changes_of(old.answer if old else None, answer, own, sown)


def lines_before(old: Stored | None, monday: date) -> Json | None:
    """This week's lines of the answer before, to be shown beside the new ones."""
    if old is None or old.answer["monday"] != monday.isoformat():
        return None
    return {
        "made_at": old.made_at.isoformat(),
        "lines": {one["variety"]: [one["parts"], one.get("asked", one)["why"]["wanted"]] for one in old.answer["now"]},
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
        "unmet": unmet_of(answer.promised),
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


def unmet_of(promised: Sequence[Promised]) -> list[Json]:
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
