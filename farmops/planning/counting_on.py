"""The plan from the farm's tables: what the grower chose or started holds, and what was proposed stays unless a change
pays."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from farmops.core.demand import Learned
from farmops.core.sizing import Accepted, Plan, Problem, Rule, Settings
from farmops.planning.farm_there import check_there
from farmops.planning.from_tables import farm_rows
from farmops.planning.horizon import WEEKS, Horizon, horizon_from
from farmops.planning.models import SowingChoice
from farmops.planning.rows import FarmRows
from farmops.planning.solver import solve_apart
from farmops.planning.sowing import Solver, SowingPlan, plan_sowings
from farmops.planning.stored_answers import HISTORY, Stored
from farmops.planning.tonight_stock import cold_room_for
from farmops.planning.wants import DAY

UNNOTED_COST = 1.25  # of a part, in the farm's currency, where none is noted: about its seed and soil
CHANGE_SHARE = 0.8  # of the cheapest part: a change must cost less than sowing a part, or what nobody wants would stay
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


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan from the tables, with the rows it was made of and what it counted on."""

    rows: FarmRows
    plan: SowingPlan
    counting: CountingOn


def planned_from_tables(
    today: date,
    old: Stored | None,
    solver: Solver = solve_apart,
    settings: Settings | None = None,
    weeks: int = WEEKS,
) -> Planned:
    """Plan from the last two years of records.

    Parameters
    ----------
    today : date
    old : Stored, optional
        The answer before: what it proposed counts as accepted.
    solver : callable
    settings : Settings, optional
    weeks : int
        How far it looks.

    Raises
    ------
    FaultsFound, ValueError, SolverFailed
        As `plan_sowings` does.
    """
    return planned_of(rows_at(today), today, old, solver, settings, weeks=weeks)


def rows_at(today: date) -> FarmRows:
    """The farm's rows as a plan takes them.

    Raises
    ------
    FaultsFound
        If there is no farm to plan for.
    """
    rows = farm_rows(since=today - HISTORY)
    check_there(rows)
    return with_late_plans(rows, today)


def planned_of(
    rows: FarmRows,
    today: date,
    old: Stored | None,
    solver: Solver = solve_apart,
    settings: Settings | None = None,
    learned: Learned | None = None,
    weeks: int = WEEKS,
) -> Planned:
    """The same from rows at hand; `learned`: what is known of the customers of these market days."""
    horizon = horizon_from(today, weeks)
    counting = CountingOn(solver, chosen_parts(horizon), left_of(proposed_before(old, horizon), rows, old, horizon))
    stock = cold_room_for(rows, today + DAY).stock
    return Planned(
        rows, plan_sowings(rows, today, settings, counting, weeks=weeks, learned=learned, stock=stock), counting
    )


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
