"""Who decides what to sow: the weekly plan, by what somebody knows, and three habits of growers."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from farmops.core.sizing import Accepted, Heads, Plan, Settings, Sowing, Standing, solve
from farmops.proving.sizing_farms import PART_PLANTS, cuttings_of, sowing_of, stages_of
from farmops.proving.sown.farm import YEAR, Farm
from farmops.proving.sown.season import Decision, State
from farmops.proving.sown.views import View
from farmops.proving.sown.weekly_plan import problem_at

SELLING_WEEKS = 8  # a habit looks so far ahead with what stands
ACCEPTED_WEEKS = 4
# Whole parts in the first weeks only: of each plan only this week's line is sown.
PLANNED = Settings(gap=0.01, seconds=60.0, whole_weeks=3, explain=False, change_price=0.0)


@dataclass(slots=True)
class ByPlan:
    """The weekly programme, anew each Monday; what was planned for the next weeks counts as accepted."""

    farm: Farm
    view: View
    settings: Settings = PLANNED
    planned: dict[tuple[int, int], float] = field(default_factory=dict)  # item and week -> parts

    def decide(self, state: State, week: int) -> Decision:
        accepted = [
            Accepted(self.farm.crops[item].key, at - week, parts)
            for (item, at), parts in self.planned.items()
            if week <= at < week + ACCEPTED_WEEKS - 1
        ]
        stock = {item: tuple(ages) for item, ages in state.stock.items()}
        problem = problem_at(state.house, self.view, week, stock, accepted=accepted or None)
        plan = solve(problem, self.settings)
        expected = {item: parts for (item, at), parts in self.planned.items() if at == week}
        self.planned = _parts_of(self.farm, plan, week)
        parts = {item: float(round(amount)) for (item, at), amount in self.planned.items() if at == week}
        return Decision(parts, plan, expected if accepted else None)


def _parts_of(farm: Farm, plan: Plan, week: int) -> dict[tuple[int, int], float]:
    names = {crop.key: at for at, crop in enumerate(farm.crops)}
    return {(names[one.item], week + one.week): one.parts for one in plan.sowings if one.week < ACCEPTED_WEEKS}


def selling(farm: Farm, view: View, state: State, week: int) -> Plan:
    """What to cut, deliver, bring and keep of what stands, where somebody else decides what is sown."""
    stock = {item: tuple(ages) for item, ages in state.stock.items()}
    problem = problem_at(state.house, view, week, stock, weeks=SELLING_WEEKS, sows=False)
    return solve(problem, replace(PLANNED, room_counts=False))


@dataclass(slots=True)
class Rounded:
    """Whole parts from fractions: what is left over counts for the next time."""

    left: dict[int, float] = field(default_factory=lambda: defaultdict(float))

    def whole(self, item: int, parts: float) -> float:
        self.left[item] += parts
        whole = math.floor(self.left[item] + 0.5)
        self.left[item] -= whole
        return float(max(0, whole))


def items_of_a_part(farm: Farm, item: int, week: int) -> float:
    """By the farm's table, over all its cuttings."""
    crop, stages = farm.crops[item], stages_of(farm.crops[item], week)
    alive = PART_PLANTS * math.prod(stage.survives for stage in stages)
    if crop.grows == "heads":
        return alive * crop.per_plant
    return alive * sum(cutting.items_per_plant for cutting in cuttings_of(crop, week))


class Constant:
    """The same sowing every week, of the size of usual sales, made smaller where it does not fit."""

    def __init__(self, farm: Farm, view: View, sales: Mapping[int, float]) -> None:
        self.farm, self.view, self.rounded = farm, view, Rounded()
        self.parts = fitting(farm, {item: amount / items_of_a_part(farm, item, 24) for item, amount in sales.items()})

    def decide(self, state: State, week: int) -> Decision:
        parts = {item: self.rounded.whole(item, amount) for item, amount in self.parts.items()}
        return Decision(parts, selling(self.farm, self.view, state, week), by_shares=False)


def fitting(farm: Farm, parts: Mapping[int, float]) -> dict[int, float]:
    """So many parts a week of each item as fit when each week is like the last, by the table for the end of March."""
    found = dict(parts)
    needs: dict[int, dict[str, float]] = {}
    for item in parts:
        sowing = sowing_of(farm.crops[item], 0, 13)
        needs[item] = place_weeks(sowing)
    for _round in range(50):
        for kind, places in farm.places.items():
            used = sum(found[item] * needs[item].get(kind, 0.0) for item in found)
            if used > places:
                for item in found:
                    if kind in needs[item]:
                        found[item] *= places / used
    return found


def place_weeks(sowing: Sowing) -> dict[str, float]:
    """Places times weeks that one part takes of each kind; heads for the week they are ready in."""
    needs: dict[str, float] = defaultdict(float)
    for place in sowing.room:
        needs[place.kind] += place.places
    if isinstance(sowing.harvest, Heads):
        needs[sowing.harvest.kind] += sowing.harvest.places * sowing.harvest.items
    else:
        for block in sowing.harvest.blocks:
            for place in block.room:
                needs[place.kind] += place.places
    return needs


class LastYear:
    """What was sold in that week last year, over what survives."""

    def __init__(self, farm: Farm, view: View) -> None:
        self.farm, self.view, self.rounded = farm, view, Rounded()

    def decide(self, state: State, week: int) -> Decision:
        parts = {}
        for item, crop in enumerate(self.farm.crops):
            then = first_week(sowing_of(crop, week, 0)) - YEAR
            sold = state.sales.get((item, then), state.sales.get((item, then - YEAR), 0.0))
            parts[item] = self.rounded.whole(item, sold / items_of_a_part(self.farm, item, week))
        return Decision(parts, selling(self.farm, self.view, state, week), by_shares=False)


def first_week(sowing: Sowing) -> int:
    """Week of the first harvest."""
    if isinstance(sowing.harvest, Heads):
        return sowing.harvest.ready
    return min(week for block in sowing.harvest.blocks for week, _items in block.harvests)


class Newsvendor:
    """The best quantity for the week a sowing comes to, less what is coming, filled in by profit per place and week."""

    def __init__(self, farm: Farm, view: View) -> None:
        self.farm, self.view = farm, view

    def decide(self, state: State, week: int) -> Decision:
        plan = selling(self.farm, self.view, state, week)
        stock = {item: tuple(ages) for item, ages in state.stock.items()}
        seen = problem_at(state.house, self.view, week, stock, sows=False)
        free = {space.kind: list(space.places) for space in seen.spaces}
        coming: dict[tuple[str, int], float] = defaultdict(float)
        for one in seen.standing:
            _take(free, one)
            for at, items in _harvests(one):
                coming[one.item, at] += items
        parts: dict[int, float] = {}
        for item, sowing, wanted in self._by_profit(week, coming):
            count = 0
            while count < wanted and _fits(free, sowing):
                _take(free, sowing)
                count += 1
            parts[item] = float(count)
        return Decision(parts, plan, by_shares=False)

    def _by_profit(self, week: int, coming: Mapping[tuple[str, int], float]) -> list[tuple[int, Sowing, float]]:
        """Items, a part sown now, and parts wanted, those that earn most on their places first."""
        found = []
        for item, crop in enumerate(self.farm.crops):
            sowing = sowing_of(crop, 0, week, self.view.stages(item, week))
            of_part = dict(_harvests(sowing))
            first = min(of_part)
            cost = crop.cutting + crop.cost / sum(of_part.values())
            short = best_quantity(self.view, item, week + first, (crop.price - cost) / crop.price)
            short += self.farm.promised(item, week + first) - coming.get((crop.key, first), 0.0)
            wanted = max(0.0, round(short / of_part[first]))
            earns = (crop.price - cost) * sum(of_part.values()) / sum(place_weeks(sowing).values())
            found.append((earns, item, sowing, wanted))
        return [one[1:] for one in sorted(found, key=lambda one: -one[0])]


def best_quantity(view: View, item: int, week: int, share: float) -> float:
    """Quantity over the week's markets that meets the whole demand on this share of days."""
    total = 0.0
    for market in view.markets(item, week):
        total += sum(piece.quantity for piece in market.pieces if piece.chance >= 1 - share)
    return total


def _harvests(planting: Sowing | Standing) -> Sequence[tuple[int, float]]:
    harvest = planting.harvest
    if isinstance(harvest, Heads):
        return [(harvest.ready, harvest.items)]
    return [pair for block in harvest.blocks for pair in block.harvests]


def _rooms(planting: Sowing | Standing) -> list[tuple[str, int, float]]:
    harvest = planting.harvest
    rooms = [(place.kind, place.week, place.places) for place in planting.room]
    if isinstance(harvest, Heads):
        return [*rooms, (harvest.kind, harvest.ready, harvest.places * harvest.items)]
    return rooms + [(place.kind, place.week, place.places) for block in harvest.blocks for place in block.room]


def _take(free: dict[str, list[float]], planting: Sowing | Standing) -> None:
    for kind, at, places in _rooms(planting):
        if at < len(free[kind]):
            free[kind][at] -= places


def _fits(free: dict[str, list[float]], planting: Sowing | Standing) -> bool:
    need: dict[tuple[str, int], float] = defaultdict(float)
    for kind, at, places in _rooms(planting):
        need[kind, at] += places
    return all(at >= len(free[kind]) or free[kind][at] >= places for (kind, at), places in need.items())
