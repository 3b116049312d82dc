"""The sum behind each sowing of a plan: wanted by use, coming, short, divided by what survives, whole parts."""

import math
from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from farmops.core.schedule import Schedule, Way
from farmops.core.sizing import Heads, Plan, Sowing, Sown, plants_needed
from farmops.planning.horizon import Horizon, Products
from farmops.planning.needs import Needs
from farmops.planning.programme import PICKING_BLOCK, Programme
from farmops.planning.rows import Variety


@dataclass(frozen=True, slots=True)
class Use:
    """So much of an item for one use on one day, as planned: "buyer", "box" or "market"."""

    kind: str
    outlet: str
    item: str
    day: date
    amount: float


@dataclass(frozen=True, slots=True)
class Why:
    """The sum behind a sowing, in what it becomes: the item, or the variety's own unit where it goes into mixes.

    Attributes
    ----------
    first_week, last_week : int
        Weeks it is for: those in which its heads stand good, or its first cutting or block of picking, and those it
        keeps after.
    uses : tuple of Use
        What the plan serves in these weeks, in order of days; amounts in items.
    wanted, coming, short : float
        Served in these weeks; coming from what stands and from other sowings; the difference, never below 0.
    per_plant : float
        What a plant alive at the harvest gives in these weeks.
    survive : float
        Share of what is sown that is alive at the harvest: it divides.
    plants : int
        Plants to sow for the shortfall.
    parts : int
        Whole parts for so many plants. The plan may sow more, for later cuttings, or fewer, for want of room.
    """

    first_week: int
    last_week: int
    uses: tuple[Use, ...]
    wanted: float
    coming: float
    short: float
    per_plant: float
    survive: float
    plants: int
    parts: int


class Reasons:
    """Finds the sum behind each sowing of one plan."""

    def __init__(self, products: Products, needs: Needs, programme: Programme, plan: Plan, horizon: Horizon) -> None:
        self.products = products
        self.horizon = horizon
        self.sowings = {(one.item, one.way, one.week): one for one in programme.problem.sowings}
        self.keeps = {item.key: item.keeps for item in needs.items}
        self.uses = _uses(needs, plan)
        self.outputs = self._outputs(programme, plan)

    def window(self, sowing: Sowing) -> tuple[int, int]:
        """Weeks a sowing is for."""
        if isinstance(sowing.harvest, Heads):
            return sowing.harvest.ready, sowing.harvest.last
        weeks = [week for week, _items in sowing.harvest.blocks[0].harvests]
        return min(weeks), max(weeks)

    def why(self, sown: Sown, schedule: Schedule, variety: Variety) -> Why:
        sowing = self.sowings[sown.item, sown.way, sown.week]
        first, last = self.window(sowing)
        last += self.keeps.get(sown.item, 0)
        uses, wanted = [], 0.0
        for item, factor in self._into(sown.item):
            for use in self.uses[item]:
                if first <= self.horizon.week(use.day) <= last:
                    uses.append(use)
                    wanted += use.amount * factor
        mine = (sown.item, sown.way, sown.week)
        coming = math.fsum(
            items for source, week, items in self.outputs[sown.item] if first <= week <= last and source != mine
        )
        short = max(0.0, wanted - coming)
        weeks = min(PICKING_BLOCK, schedule.pick_weeks) if schedule.way is Way.PICKED else 1
        per_plant = schedule.per_plant * self.products.targets[variety.variety].per_unit_cut * weeks
        plants = plants_needed(
            round(short, 6), per_plant=round(per_plant, 9), shares=[s.survive for s in schedule.stages]
        )
        return Why(
            first,
            last,
            tuple(sorted(uses, key=lambda use: (use.day, use.outlet, use.item))),
            wanted,
            coming,
            short,
            per_plant,
            schedule.survive,
            plants,
            math.ceil(plants / variety.part_plants),
        )

    def _into(self, key: str) -> list[tuple[str, float]]:
        """Items made with a part, and how much of it goes into one."""
        found = [(mix.item, amount) for mix in self.products.mixes for part, amount in mix.parts if part == key]
        return found or [(key, 1.0)]

    def _outputs(self, programme: Programme, plan: Plan) -> dict[str, list[tuple[object, int, float]]]:
        """What everything in the plan gives: (whose, week, items)."""
        found: dict[str, list[tuple[object, int, float]]] = defaultdict(list)
        shares = {kept.key: kept.amounts for kept in plan.standing}
        for supply in programme.supply:
            found[supply.key].append(
                (supply.planting, supply.week, supply.items * shares.get(supply.planting, (1.0,))[0])
            )
        for sown in plan.sowings:
            source = (sown.item, sown.way, sown.week)
            harvest = self.sowings[source].harvest
            if isinstance(harvest, Heads):
                found[sown.item].append((source, harvest.ready, harvest.items * sown.parts))
                continue
            for block in harvest.blocks:
                for week, items in block.harvests:
                    found[sown.item].append((source, week, items * sown.parts))
        return found


def _uses(needs: Needs, plan: Plan) -> dict[str, list[Use]]:
    found: dict[str, list[Use]] = defaultdict(list)
    for promise in plan.promises:
        want = needs.wants[promise.key]
        found[promise.item].append(Use(want.kind, want.outlet, want.item, want.day, promise.met))
    for market in plan.markets:
        held = needs.market_days[market.key]
        found[market.item].append(Use("market", held.outlet.outlet, market.item, held.day, market.taken))
    return found
