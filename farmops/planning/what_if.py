"""What would be if one thing were otherwise: two plans of the same records, side by side."""

import hashlib
from dataclasses import asdict, dataclass
from datetime import date, datetime

from farmops.core.sizing import Settings
from farmops.planning.altered_rows import Alteration, altered
from farmops.planning.counting_on import Planned, planned_of, rows_at
from farmops.planning.models import StoredAnswer
from farmops.planning.room_worth import full_kinds
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Solver, SowingPlan
from farmops.planning.sowing_list import unmet_of
from farmops.planning.stored_answers import Json, Stored, stored, work_out

KIND = StoredAnswer.Kind.WHAT_IF
MOST_KEPT = 20  # older ones are worked out again when somebody asks
PRECISE = Settings(gap=0.001, seconds=10.0)  # two plans are subtracted: a coarser gap would exceed what is looked for
SMALL = 0.05  # of a part


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two plans, as it is kept: money over the weeks looked at, promises short, kinds that are full."""

    status: str
    gap: float | None
    profit: float
    sales: float
    unmet: list[Json]
    full: list[str]


def work_out_what_if(change: Alteration, today: date, now: datetime, *, solver: Solver = solve_apart) -> Stored:
    """Plan the farm as it is and as it would be, and keep both side by side.

    Raises
    ------
    BeingWorkedOut, FaultsFound, ValueError, SolverFailed
        As the sowing list does.
    """
    kept = work_out(KIND, lambda: what_if_answer(change, today, solver), as_of=today, now=now, about=about(change))
    newest = StoredAnswer.objects.filter(kind=KIND).order_by("-made_at").values_list("pk", flat=True)
    StoredAnswer.objects.filter(kind=KIND).exclude(pk__in=list(newest[:MOST_KEPT])).delete()
    return kept


def what_if_answer(change: Alteration, today: date, solver: Solver = solve_apart) -> Json:
    """Both plans keep to what was proposed before, so that a line differs only where it pays."""
    rows, old = rows_at(today), stored(StoredAnswer.Kind.SOWING)
    now = planned_of(rows, today, old, solver, PRECISE)
    learned = now.plan.basis.needs.learned
    then = planned_of(altered(rows, change), today, old, solver, PRECISE, learned)
    return {
        "now": asdict(_side(now)),
        "then": asdict(_side(then)),
        "weeks": now.plan.horizon.weeks,
        "lines": _lines(now.plan, then.plan),
    }


def about(change: Alteration) -> str:
    """Name of its answer: the same for the same question."""
    return hashlib.sha256(repr(change).encode()).hexdigest()[:40]


def _side(planned: Planned) -> Side:
    plan = planned.plan
    return Side(
        plan.plan.status,
        plan.plan.gap,
        round(plan.plan.objective or 0.0, 2),
        round(plan.expected_sales, 2),
        unmet_of(plan.promised),
        full_kinds(plan),
    )


def _lines(now: SowingPlan, then: SowingPlan) -> list[Json]:
    """Sowings in whole parts that differ, the earliest first."""
    before, after = _parts(now), _parts(then)
    words = {line.variety.variety: line.variety.part for line in (*now.lines, *then.lines)}
    return [
        {
            "variety": variety,
            "part": words[variety],
            "monday": now.horizon.monday(week).isoformat(),
            "now": round(before.get((variety, week), 0.0), 4),
            "then": round(after.get((variety, week), 0.0), 4),
        }
        for variety, week in sorted({*before, *after}, key=lambda place: (place[1], place[0]))
        if abs(before.get((variety, week), 0.0) - after.get((variety, week), 0.0)) > SMALL
    ]


def _parts(plan: SowingPlan) -> dict[tuple[str, int], float]:
    return {(line.variety.variety, line.week): line.parts for line in plan.lines if line.is_whole}
