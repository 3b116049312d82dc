"""What limits the sowings: how many there would be without the room limit, and what one more space would earn."""

import statistics
from dataclasses import replace
from datetime import date, datetime

from farmops.core.sizing import Problem, Settings
from farmops.planning.counting_on import Planned, planned_from_tables
from farmops.planning.models import StoredAnswer
from farmops.planning.rows import FarmRows
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Solver, SowingPlan
from farmops.planning.stored_answers import Json, Stored, stored, work_out

KIND = StoredAnswer.Kind.ROOM
PRECISE = Settings(gap=0.001, seconds=8.0, explain=False)  # coarser, and the gap would exceed the answer


def work_out_room(today: date, now: datetime, *, solver: Solver = solve_apart) -> Stored:
    """What one more space of each kind that is full would earn, from the tables, and keep it.

    Raises
    ------
    BeingWorkedOut, FaultsFound, ValueError, SolverFailed
        As the sowing list does.
    """
    return work_out(KIND, lambda: room_answer(today, solver), as_of=today, now=now)


def room_answer(today: date, solver: Solver = solve_apart) -> Json:
    """Two plans for each kind of space that limits the sowings, with and without one space more, subtracted."""
    planned = planned_from_tables(today, stored(StoredAnswer.Kind.SOWING), solver, PRECISE)
    plan, rows = planned.plan, planned.rows
    worths = []
    for kind in full_kinds(plan):
        places = usual_places(rows, kind)
        more = with_more_places(plan.basis.programme.problem, kind, places)
        then = replace(planned.counting)(more, PRECISE)
        if plan.plan.objective is not None and then.objective is not None:
            bound = then.objective if then.bound is None else then.bound
            about = max(0.0, then.objective - plan.plan.objective)
            worths.append(
                {
                    "kind": kind,
                    "places": places,
                    "about": round(about, 2),
                    "at_most": round(max(about, bound - plan.plan.objective), 2),
                }
            )
    return {"weeks": plan.horizon.weeks, "status": plan.plan.status, "kinds": worths}


def full_kinds(plan: SowingPlan) -> list[str]:
    """Kinds of space that limit the plan in some week, the most often full first."""
    weeks: dict[str, int] = {}
    for room in plan.plan.room:
        if room.binding:
            weeks[room.kind] = weeks.get(room.kind, 0) + 1
    return sorted(weeks, key=lambda kind: (-weeks[kind], kind))


def usual_places(rows: FarmRows, kind: str) -> int:
    """Places of the middle one of the farm's spaces of a kind."""
    return int(statistics.median_low([space.places for space in rows.spaces if space.kind == kind]))


def with_more_places(problem: Problem, kind: str, places: float) -> Problem:
    """One space more in every week in which there is room of that kind at all; a closed week stays closed."""
    return replace(
        problem,
        spaces=tuple(
            replace(space, places=tuple(held + places if held > 0 else 0.0 for held in space.places))
            if space.kind == kind
            else space
            for space in problem.spaces
        ),
    )


def without_room_limit(planned: Planned) -> Json | None:
    """This week's parts by variety if there were room for everything; None where room limits nothing."""
    if not full_kinds(planned.plan):
        return None
    problem = planned.plan.basis.programme.problem
    free = replace(planned.counting)(problem, Settings(room_counts=False, explain=False))
    return {one.way: round(one.parts, 4) for one in free.sowings if one.week == 0 and one.parts > 0}
