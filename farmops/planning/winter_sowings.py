"""The sowings of the year ahead: the farm's own programme over sixty weeks, whole trays in the first twelve.

As with the sowing list, what was chosen or started is held to, and what the list proposed is changed only where that
pays: the first weeks of both are one plan.
"""

from collections import defaultdict
from datetime import date, datetime

from farmops.core.growth import through_stages
from farmops.core.sizing import Settings
from farmops.planning.counting_on import planned_from_tables
from farmops.planning.models import StoredAnswer
from farmops.planning.rows import FarmRows
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Solver, SowingLine, SowingPlan
from farmops.planning.standing import schedule_on, schedules_of
from farmops.planning.stored_answers import Json, Stored, stored, work_out

KIND = StoredAnswer.Kind.YEAR
WEEKS = 60
SETTINGS = Settings()
SMALL = 0.05  # of a part or an item: not worth a line
SPARE = 0.1  # of what is ready in a week: less than that left over is the luck of whole trays
LOOKED_AT = 26  # weeks in which what stands today may be left over


def work_out_year(today: date, now: datetime, *, solver: Solver = solve_apart) -> Stored:
    """Plan the year from the tables and keep the plan.

    Raises
    ------
    BeingWorkedOut
        If that is under way already.
    FaultsFound, ValueError
        If the records lack what a plan needs, or hold what cannot be planned with.
    SolverFailed
        If the solver hung or fell over; what was kept before stays.
    """
    return work_out(KIND, lambda: year_answer(today, solver), as_of=today, now=now)


def year_answer(today: date, solver: Solver = solve_apart) -> Json:
    """The plan as it is kept: codes and figures, week by week."""
    planned = planned_from_tables(today, stored(StoredAnswer.Kind.SOWING), solver, SETTINGS, WEEKS)
    rows, plan, horizon = planned.rows, planned.plan, planned.plan.horizon
    return {
        "monday": horizon.start.isoformat(),
        "end": horizon.end.isoformat(),
        "first_not_whole": horizon.monday(SETTINGS.whole_weeks or WEEKS).isoformat(),
        "status": plan.plan.status,
        "gap": plan.plan.gap,
        "let_go": planned.counting.let_go,
        "sowings": [_sowing(plan, line) for line in plan.lines if line.parts >= SMALL],
        "moves": _moves(rows, plan),
        "standing": _standing_moves(plan),
        "sold": _sold(plan),
        "spare": _spare(plan),
        "units": {item: one.unit for item, one in plan.basis.products.items.items()},
        "varieties": _varieties(rows, today),
        "last_sale": _last_sale(plan),
        "full": _full(plan),
    }


def _sowing(plan: SowingPlan, line: SowingLine) -> list[object]:
    """Monday, variety, parts, seeds, whether in whole parts, weeks it is for."""
    why = line.why
    return [
        plan.horizon.monday(line.week).isoformat(),
        line.variety.variety,
        round(line.parts, 4),
        round(line.plants, 2),
        line.is_whole,
        plan.horizon.monday(why.first_week).isoformat(),
        plan.horizon.monday(why.last_week).isoformat(),
    ]


def _moves(rows: FarmRows, plan: SowingPlan) -> list[list[object]]:
    """Monday, variety, parts, plants alive then, kind of space, Monday of its sowing: of the sowings to come."""
    versions, growing, horizon = schedules_of(rows), plan.basis.growing, plan.horizon
    found = []
    for line in plan.lines:
        name = line.variety.variety
        if line.parts < SMALL:
            continue
        stages = schedule_on(versions[name], line.day).stages
        spans = through_stages([one.need for one in stages], growing.place, line.day, growing.own.get(name))
        plants = line.plants
        for before, after, span in zip(stages, stages[1:], spans, strict=False):
            plants *= before.survive
            monday = horizon.monday(horizon.from_week(span.usual))
            sown = horizon.monday(line.week).isoformat()
            found.append([monday.isoformat(), name, round(line.parts, 4), round(plants, 2), after.kind, sown])
    return sorted(found, key=lambda move: (move[0], move[1], move[5]))


def _standing_moves(plan: SowingPlan) -> list[list[object]]:
    """Monday, variety, planting, kind of space, places: moves to come of what stands."""
    horizon, growing = plan.horizon, plan.basis.growing
    found = []
    for planting, outlook in zip(growing.plantings, growing.outlooks, strict=True):
        for line in outlook.lines:
            for taken in (*line.on_the_way, *line.at_harvest[:1]):
                if taken.from_day > horizon.as_of and not taken.space:
                    monday = horizon.monday(horizon.from_week(taken.from_day)).isoformat()
                    found.append([monday, planting.variety, planting.key, taken.kind, round(taken.places, 2)])
    return sorted(found, key=lambda move: (move[0], move[1], move[2]))


def _sold(plan: SowingPlan) -> list[list[object]]:
    """Monday, item, promised and met, taken to markets. [units of the item]"""
    sums: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0.0, 0.0])
    horizon = plan.horizon
    for promise in plan.promised:
        sums[horizon.monday(horizon.week(promise.want.day)).isoformat(), promise.want.item][0] += promise.met
    for sale in plan.sales:
        sums[horizon.monday(horizon.week(sale.day)).isoformat(), sale.item][1] += sale.taken
    return [
        [monday, item, round(met, 2), round(taken, 2)]
        for (monday, item), (met, taken) in sorted(sums.items())
        if met + taken >= SMALL
    ]


def _spare(plan: SowingPlan) -> list[list[object]]:
    """Monday, item, amount: what stands today and is ready with nobody to take it, in the next half year."""
    standing = {one.item for one in plan.basis.programme.problem.standing}
    left: dict[str, float] = defaultdict(float)
    found = []
    for one in sorted(plan.plan.items, key=lambda one: (one.item, one.week)):
        ready, before = one.ready, left[one.item]
        left[one.item] = one.left
        spare = before + ready - one.harvest - one.left
        if one.item in standing and one.week < LOOKED_AT and spare >= max(1.0, SPARE * (before + ready)):
            found.append([plan.horizon.monday(one.week).isoformat(), one.item, round(spare, 2)])
    return sorted(found)


def _varieties(rows: FarmRows, today: date) -> Json:
    """What the schedule counts on: the share that lives to the harvest, and of it the share of the first stage."""
    versions = schedules_of(rows)
    found = {name: schedule_on(of_variety, today) for name, of_variety in versions.items()}
    return {name: [one.survive, one.stages[0].survive] for name, one in found.items()}


def _last_sale(plan: SowingPlan) -> str | None:
    """The last day in sight on which anything is sold."""
    days = [one.want.day for one in plan.promised] + [one.day for one in plan.sales]
    return max(days).isoformat() if days else None


def _full(plan: SowingPlan) -> list[list[object]]:
    """Kinds of space that limit the plan, with the Mondays of the weeks in which they do."""
    kinds: dict[str, list[str]] = defaultdict(list)
    for room in plan.plan.room:
        if room.binding:
            kinds[room.kind].append(plan.horizon.monday(room.week).isoformat())
    return [[kind, weeks] for kind, weeks in sorted(kinds.items())]
