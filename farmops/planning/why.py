"""The sum behind each sowing of a plan: wanted by use, coming, short, divided by what survives, whole parts."""

import math
from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import date

from farmops.core.schedule import Schedule
from farmops.core.sizing import Heads, Plan, Sowing, Sown, Standing, plants_needed
from farmops.planning.horizon import Horizon, Products
from farmops.planning.needs import Needs
from farmops.planning.programme import Programme
from farmops.planning.rows import Variety

LEAST = 1e-6  # items below this are rounding
Source = tuple[str, ...] | tuple[str, str, int]


@dataclass(frozen=True, slots=True)
class Use:
    """So much of an item for one use on one day, as planned: "buyer", "box" or "market".

    `amount` is in items, `in_sum` in the unit of the sum it stands in.
    """

    kind: str
    outlet: str
    item: str
    day: date
    amount: float
    in_sum: float = 0.0


@dataclass(frozen=True, slots=True)
class Harvest:
    """One cutting or one week of picking of a sowing: what it is needed for [unit of the sum], and the parts for that.

    `number` counts from 1; `last_week` includes the weeks it keeps.
    """

    number: int
    week: int
    last_week: int
    needed: float
    parts: int


@dataclass(frozen=True, slots=True)
class Why:
    """The sum behind a sowing, in what it becomes: the item, or the variety's own unit where it goes into mixes.

    Where there are several cuttings the sum is that of the one that needs the most parts.

    Attributes
    ----------
    first_week, last_week : int
        Weeks the sum is for: those in which its heads stand good, or one cutting or week of picking, and those it
        keeps after.
    uses : tuple of Use
        What it serves in these weeks, in whole or in part, in order of days. Their `in_sum` adds up to `wanted`.
    wanted, coming, short : float
        Wanted for these uses; what stands or is sown besides gives of that; the rest, which this sowing gives.
    per_plant : float
        What a plant alive at the harvest gives in these weeks.
    survive : float
        Share of what is sown that is alive at the harvest: it divides.
    plants : int
        Plants to sow for the shortfall.
    parts : int
        Whole parts for so many plants.
    unit : str
        Of `wanted`, `coming`, `short`.
    harvests : tuple of Harvest
        Of all its cuttings or weeks of picking that serve something, in order; empty for heads.
    harvest : int
        Number of the one in the sum; 0 for heads.
    more : float
        Parts that the plan sows beyond `parts`.
    more_for : str
        "after": for weeks after those looked at; "spare": to spare; "": none.
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
    unit: str = ""
    harvests: tuple[Harvest, ...] = ()
    harvest: int = 0
    more: float = 0.0
    more_for: str = ""


@dataclass(slots=True)
class _Lot:
    """What one planting gives at once: items good from one week to another, and the uses it was given to."""

    source: Source
    is_new: bool
    number: int
    first: int
    last: int
    of_part: float
    left: float
    given: list[tuple[int, float]] = field(default_factory=list)  # (place of the use, items)


class Reasons:
    """Finds the sum behind each sowing of one plan.

    What the plan serves is shared out week by week: first from what spoils first, and of two alike from what stands
    before what is sown. So each sowing has its own uses, and no use is counted twice.
    """

    def __init__(self, products: Products, needs: Needs, programme: Programme, plan: Plan, horizon: Horizon) -> None:
        self.products = products
        self.horizon = horizon
        self.sowings = {(one.item, one.way, one.week): one for one in programme.problem.sowings}
        self.keeps = {item.key: item.keeps for item in needs.items}
        self.uses = _uses(needs, plan, products, horizon)
        self.lots = self._lots(programme, plan)
        for key, lots in self.lots.items():
            self._share_out(self.uses[key], lots)

    def why(self, sown: Sown, schedule: Schedule, variety: Variety) -> Why:
        """The sum behind one sowing."""
        sowing = self.sowings[sown.item, sown.way, sown.week]
        mine = [lot for lot in self.lots[sown.item] if lot.source == (sown.item, sown.way, sown.week)]
        sums = [self._sum(lot, sown.item, schedule, variety) for lot in mine]
        neediest = max(sums, key=lambda one: (one.parts, one.short, -one.first_week))
        is_heads = isinstance(sowing.harvest, Heads)
        more = max(0.0, sown.parts - neediest.parts)
        is_after = any(lot.first >= self.horizon.weeks for lot in mine)
        return replace(
            neediest,
            unit=self._unit(sown.item, schedule),
            harvests=()
            if is_heads
            else tuple(
                Harvest(lot.number, one.first_week, one.last_week, one.short, one.parts)
                for lot, one in zip(mine, sums, strict=True)
                if one.parts
            ),
            harvest=0 if is_heads else mine[sums.index(neediest)].number,
            more=more,
            more_for=("after" if is_after else "spare") if more else "",
        )

    def _unit(self, key: str, schedule: Schedule) -> str:
        return self.products.items[key].unit if key in self.products.items else schedule.unit

    def _sum(self, lot: _Lot, key: str, schedule: Schedule, variety: Variety) -> Why:
        """The sum of one cutting or of heads."""
        uses = [self.uses[key][place] for place, _items in lot.given]
        wanted = math.fsum(use.in_sum for use in uses)
        short = min(wanted, math.fsum(items for _place, items in lot.given))
        per_plant = lot.of_part / variety.part_plants / schedule.survive
        plants = plants_needed(
            round(short * (1 - LEAST), 6), per_plant=round(per_plant, 9), shares=[s.survive for s in schedule.stages]
        )
        return Why(
            lot.first,
            lot.last,
            tuple(sorted(uses, key=lambda use: (use.day, use.outlet, use.item))),
            wanted,
            wanted - short,
            short,
            per_plant,
            schedule.survive,
            plants,
            math.ceil(plants / variety.part_plants),
        )

    def _share_out(self, uses: list[Use], lots: list[_Lot]) -> None:
        """Earliest use first, each from what is good that week and spoils first."""
        for place in sorted(range(len(uses)), key=lambda place: (uses[place].day, place)):
            week, wanted = self.horizon.week(uses[place].day), uses[place].in_sum
            good = [lot for lot in lots if lot.first <= week <= lot.last and lot.left > LEAST]
            for lot in sorted(good, key=lambda lot: (lot.last, lot.is_new, lot.source)):
                if wanted <= LEAST:
                    break
                items = min(wanted, lot.left)
                lot.given.append((place, items))
                lot.left -= items
                wanted -= items

    def _lots(self, programme: Programme, plan: Plan) -> dict[str, list[_Lot]]:
        """What everything in the plan gives."""
        found: dict[str, list[_Lot]] = defaultdict(list)
        for item in programme.problem.items:
            for weeks, items in enumerate(item.stock):
                found[item.key].append(_Lot((f"stock {weeks}",), False, 1, 0, weeks, 0.0, items))
        shares = {kept.key: kept.amounts for kept in plan.standing}
        for standing in programme.problem.standing:
            amounts = shares.get(standing.key, ())
            found[standing.item] += self._of(standing, (standing.key,), amounts[:1], amounts[1:])
        blocks = {(kept.item, kept.way, kept.week): kept.amounts for kept in plan.cuttings}
        for sown in plan.sowings:
            source = (sown.item, sown.way, sown.week)
            if source in self.sowings:
                parts = blocks.get(source, ())
                found[sown.item] += self._of(self.sowings[source], source, (sown.parts,), parts)
        return found

    def _of(
        self, planting: Sowing | Standing, source: Source, amount: tuple[float, ...], blocks: tuple[float, ...]
    ) -> list[_Lot]:
        keeps, is_new = self.keeps.get(planting.item, 0), isinstance(planting, Sowing)
        whole = amount[0] if amount else 1.0
        if isinstance(planting.harvest, Heads):
            heads = planting.harvest
            return [_Lot(source, is_new, 1, heads.ready, heads.last + keeps, heads.items, heads.items * whole)]
        lots: list[_Lot] = []
        for place, block in enumerate(planting.harvest.blocks):
            kept = blocks[place] if place < len(blocks) else whole
            for week, items in block.harvests:
                lots.append(_Lot(source, is_new, len(lots) + 1, week, week + keeps, items, items * kept))
        return lots


def _uses(needs: Needs, plan: Plan, products: Products, horizon: Horizon) -> dict[str, list[Use]]:
    """What the plan serves, by what it is made of, each in that unit."""
    mixed = {
        (mix.item, mix.week): {part: amount / mix.made for part, amount in mix.parts} for mix in plan.mixed if mix.made
    }
    recipes = {mix.item: dict(mix.parts) for mix in products.mixes}
    found: dict[str, list[Use]] = defaultdict(list)
    served = [
        Use(want.kind, want.outlet, want.item, want.day, promise.met)
        for promise in plan.promises
        for want in [needs.wants[promise.key]]
    ]
    served += [
        Use("market", held.outlet.outlet, market.item, held.day, market.taken)
        for market in plan.markets
        for held in [needs.market_days[market.key]]
    ]
    for use in served:
        nominal = recipes.get(use.item, {use.item: 1.0})
        for key, part in mixed.get((use.item, horizon.week(use.day)), nominal).items():
            if use.amount * part > LEAST:
                found[key].append(replace(use, in_sum=use.amount * part))
    return found
