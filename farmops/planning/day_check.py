"""A plan counted again day by day, apart from the programme that made it: never more than the places there are."""

from collections import defaultdict
from dataclasses import dataclass, replace

from farmops.core.room import Clash, Stay, clashes
from farmops.core.sizing import Cuts, Occupancy, Plan, Sowing, Standing
from farmops.planning.horizon import WEEK, Horizon
from farmops.planning.programme import LEAST, Programme, places_on
from farmops.planning.rows import FarmRows
from farmops.planning.wants import days_from

ENDING = "(ending)"  # what stands and will give nothing more
ROUNDING = 0.01  # places; the solver keeps its rows to about a millionth of what stands in them


@dataclass(frozen=True, slots=True)
class OverFull:
    """A kind of space with more in it than there are places, on the days from `clash.from_day` to before `to_day`."""

    kind: str
    clash: Clash


@dataclass(frozen=True, slots=True, order=True)
class _Ready:
    """Heads ready in one week: the last they stand good, how many, and the places of one."""

    last: int
    key: str
    items: float
    places: float


# (item, kind of space) -> ready week -> heads
_Pools = dict[tuple[str, str], dict[int, list[_Ready]]]


def over_full_days(rows: FarmRows, programme: Programme, plan: Plan, horizon: Horizon) -> list[OverFull]:
    """Every day on which the plan's sowings and what is kept standing would not fit."""
    problem = programme.problem
    stays: dict[str, list[Stay]] = defaultdict(list)
    pools: _Pools = defaultdict(lambda: defaultdict(list))
    parts = {(sown.item, sown.way, sown.week): sown.parts for sown in plan.sowings}
    blocks = {(kept.item, kept.way, kept.week): kept.amounts for kept in plan.cuttings}
    standing = {kept.key: kept.amounts for kept in plan.standing}
    for sowing in problem.sowings:
        amount = parts.get((sowing.item, sowing.way, sowing.week), 0.0)
        if amount > 0:
            kept = blocks.get((sowing.item, sowing.way, sowing.week), ())
            _add(sowing, f"{sowing.way} {horizon.monday(sowing.week)}", amount, kept, horizon, stays, pools)
    for planting in problem.standing:
        shares = standing.get(planting.key, ())
        if shares and shares[0] > 0:
            _add(planting, planting.key, shares[0], shares[1:], horizon, stays, pools)
    for taken in programme.fixed:
        monday = horizon.monday(taken.week)
        stays[taken.kind].append(Stay(ENDING, taken.places, monday, monday + WEEK))
    _ready_heads(plan, pools, horizon, stays)
    found = []
    for kind, of_kind in stays.items():
        places = [(day, float(places_on(rows, kind, day))) for day in days_from(horizon.start, horizon.end)]
        for clash in clashes(places, of_kind):
            if clash.over > ROUNDING and clash.from_day < horizon.end:
                found.append(OverFull(kind, clash))
    return found


def _add(
    planting: Sowing | Standing,
    key: str,
    amount: float,
    kept: tuple[float, ...],
    horizon: Horizon,
    stays: dict[str, list[Stay]],
    pools: _Pools,
) -> None:
    def take(room: tuple[Occupancy, ...], share: float) -> None:
        for taken in room:
            monday = horizon.monday(taken.week)
            stays[taken.kind].append(Stay(key, taken.places * share, monday, monday + WEEK))

    take(planting.room, amount)
    if isinstance(planting.harvest, Cuts):
        shares = kept or (amount,) * len(planting.harvest.blocks)
        for block, share in zip(planting.harvest.blocks, shares, strict=False):
            take(block.room, share)
        return
    heads = planting.harvest
    ready = _Ready(heads.last, key, heads.items * amount, heads.places)
    pools[planting.item, heads.kind][heads.ready].append(ready)


def _ready_heads(plan: Plan, pools: _Pools, horizon: Horizon, stays: dict[str, list[Stay]]) -> None:
    """Ready heads stand until they are cut, oldest first, or past their best."""
    cut = {(week.item, week.week): week.harvest for week in plan.items}
    for (item, kind), by_week in pools.items():
        here: list[_Ready] = []
        for week in range(horizon.weeks):
            here = sorted([heads for heads in here if heads.last >= week] + by_week.get(week, []))
            monday = horizon.monday(week)
            stays[kind] += [Stay(heads.key, heads.items * heads.places, monday, monday + WEEK) for heads in here]
            left = cut.get((item, week), 0.0)
            after = []
            for heads in here:
                taken = min(heads.items, left)
                left -= taken
                if heads.items - taken > LEAST:
                    after.append(replace(heads, items=heads.items - taken))
            here = after
