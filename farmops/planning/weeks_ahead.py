"""Weeks in which there will be too much or too little of something, named while there is time to do something about it.

Too much: plants that stand ready and that the plan finds nobody for, or gives up because their places are worth more.
Too little: less than half of what is promised and usually asked for.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from farmops.core.sizing import Heads, ItemWeek, Kept, Standing
from farmops.planning.horizon import part_key
from farmops.planning.plan_facts import first_ready
from farmops.planning.rows import FarmRows
from farmops.planning.sowing import SowingPlan
from farmops.planning.stored_answers import Json

WEEKS = 7  # this week and the six after it
LEAST = 5.0  # items: fewer are eaten at home
TOO_MUCH = 0.15  # of what is ready that week
TOO_LITTLE = 0.5  # of what is wanted that week
Amounts = dict[tuple[str, int], float]  # items by item and week


@dataclass(frozen=True, slots=True)
class Ahead:
    """One item in one week.

    Attributes
    ----------
    item : str
    week : int
    over : float
        Ready and wanted by nobody; 0 where there is too little. [items]
    given_up : float
        Of `over`, what the plan clears early, for its places earn more otherwise. [items]
    missing : float
        Wanted and not there; 0 where there is too much. [items]
    of : float
        All that is ready, or all that is wanted. [items]
    """

    item: str
    week: int
    over: float
    given_up: float
    missing: float
    of: float


def weeks_ahead(
    items: Sequence[ItemWeek],
    standing: Sequence[Standing],
    kept: Sequence[Kept],
    asked: Mapping[tuple[str, int], float],
) -> list[Ahead]:
    """Items and weeks to do something about, by week and item.

    Parameters
    ----------
    items : sequence of ItemWeek
        As the plan has them.
    standing : sequence of Standing
    kept : sequence of Kept
        What the plan keeps of each of them.
    asked : mapping of (item, week) to float
        Mean demand of its markets. [items]
    """
    given_up = _given_up(standing, kept)
    by_place = {(one.item, one.week): one for one in items}
    left_before = {(one.item, one.week + 1): one.left for one in items}
    found = []
    for item, week in sorted({*by_place, *given_up, *asked}, key=lambda place: (place[1], place[0])):
        if week >= WEEKS:
            continue
        one = by_place.get((item, week))
        perished = max(0.0, left_before.get((item, week), 0.0) + one.ready - one.harvest - one.left) if one else 0.0
        cleared = given_up.get((item, week), 0.0)
        much = cleared + perished
        ready = much + (one.harvest + one.left if one else 0.0)
        if much >= max(LEAST, TOO_MUCH * ready):
            found.append(Ahead(item, week, much, cleared, 0.0, ready))
            continue
        wanted = asked.get((item, week), 0.0) + (one.promised if one else 0.0)
        served = one.met + one.market if one else 0.0
        if wanted - served >= max(LEAST, TOO_LITTLE * wanted):
            found.append(Ahead(item, week, 0.0, 0.0, wanted - served, wanted))
    return found


def ahead_of(plan: SowingPlan, rows: FarmRows) -> list[Json]:
    """The same of a farm's plan, with who might take more of it and who waits for it."""
    basis, horizon = plan.basis, plan.horizon
    asked: Amounts = defaultdict(float)
    for market in basis.needs.markets:
        asked[market.item, market.week] += market.mean
    waits: dict[tuple[str, int], set[str]] = defaultdict(set)
    buyers: dict[str, set[str]] = defaultdict(set)
    for promise in basis.needs.promises:
        outlet = basis.needs.wants[promise.key].outlet
        waits[promise.item, promise.week].add(outlet)
        buyers[promise.item].add(outlet)
    soonest = _soonest(plan)
    units = {part_key(stage.variety): stage.unit for stage in rows.schedules if stage.harvest}
    units |= {name: item.unit for name, item in basis.products.items.items()}
    return [
        {
            "item": one.item,
            "monday": horizon.monday(one.week).isoformat(),
            "over": round(one.over, 3),
            "given_up": round(one.given_up, 3),
            "missing": round(one.missing, 3),
            "of": round(one.of, 3),
            "unit": units.get(one.item, ""),
            "buyers": sorted(buyers[one.item]),
            "waits": sorted(waits[one.item, one.week]),
            "too_late": one.item not in soonest or one.week < soonest[one.item],
        }
        for one in weeks_ahead(plan.plan.items, basis.programme.problem.standing, plan.plan.standing, asked)
    ]


def _given_up(standing: Sequence[Standing], kept: Sequence[Kept]) -> Amounts:
    """What plantings would still give and the plan does not keep, by item and week."""
    shares = {one.key: one.amounts for one in kept}
    found: Amounts = defaultdict(float)
    for one in standing:
        amounts = shares.get(one.key, ())
        if isinstance(one.harvest, Heads):
            found[one.item, one.harvest.ready] += (1.0 - _share(amounts, 0)) * one.harvest.items
            continue
        for number, block in enumerate(one.harvest.blocks):
            for week, items in block.harvests:
                found[one.item, week] += (1.0 - _share(amounts, number + 1)) * items
    return found


def _share(amounts: Sequence[float], place: int) -> float:
    """The share kept; all of it where nothing is said."""
    return amounts[place] if place < len(amounts) else 1.0


def _soonest(plan: SowingPlan) -> dict[str, int]:
    """The first week in which something sown from now on could be sold; a mix waits for the slowest of its parts."""
    found: dict[str, int] = {}
    for sowing in plan.basis.programme.problem.sowings:
        week = first_ready(sowing)
        found[sowing.item] = min(week, found.get(sowing.item, week))
    for mix in plan.basis.products.mixes:
        parts = [found.get(part) for part, _amount in mix.parts]
        if None not in parts:
            found[mix.item] = max(week for week in parts if week is not None)
    return found
