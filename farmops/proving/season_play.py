"""Plays a policy through the market days of one drawn season and keeps the score."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from farmops.proving.habits import KnowingCarry, carried_on, critical_share, knowing_quantity
from farmops.proving.worlds.draws import ItemDay, MarketDay, SeasonDraw
from farmops.proving.worlds.notebook import Answer, Ask, Policy, Record, clock
from farmops.proving.worlds.parts import Item, World
from farmops.proving.worlds.stall import Sale, note, note_called_off, sell


@dataclass(frozen=True, slots=True)
class Line:
    """One item on one market day, scored. profit in money; means in pieces; forecast is None without one."""

    week: int
    profit: float
    forecast: float | None
    true_mean: float
    stock: int
    wanted: int
    ran_out: bool
    critical: float


@dataclass(slots=True)
class Farm:
    """What a farm takes from one market day to the next: its notebook, and the hardy pieces that came back."""

    records: list[Record] = field(default_factory=list)
    carried: dict[str, int] = field(default_factory=dict)

    def copy(self) -> "Farm":
        return Farm(list(self.records), dict(self.carried))


Decide = Callable[[int, MarketDay, Farm], Answer]  # number of the day among those played, the day, the farm


def asks_of(draw: SeasonDraw, day: MarketDay, carried: dict[str, int], *, told: bool | None = None) -> list[Ask]:
    """The questions of the evening before; the weather is told if the world tells it, unless `told` decides."""
    world, market = draw.world, day.market
    tells = world.weather_told if told is None else told
    return [
        Ask(
            date=day.day.isoformat(),
            market=market.name,
            opens=clock(market.opens),
            closes=clock(market.closes),
            item=item.name,
            category=item.category,
            price=drawn.price,
            weather=("rain" if day.rains else "dry") if tells else None,
            unit_cost=item.cost,
            leftover_value=item.leftover,
            shelf_markets=item.shelf_markets,
            carry_loss=item.carry_loss,
            carried_in=carried.get(item.name, 0),
            guess=draw.guesses[market.name, item.name],
        )
        for item, drawn in zip(world.items, day.items, strict=True)
    ]


def by_policy(draw: SeasonDraw, policy: Policy) -> Decide:
    """Decide the evening before each market from the notebook alone."""
    return lambda _, day, farm: policy(farm.records, asks_of(draw, day, farm.carried))


def by_knowing(draw: SeasonDraw, days: Sequence[MarketDay]) -> Decide:
    """Decide from each day's true distribution: the yardstick."""
    held = [day for day in days if not day.called_off]
    rank = {id(day): at for at, day in enumerate(held)}
    plans = {
        at: KnowingCarry(item, [day.items[at] for day in held])
        for at, item in enumerate(draw.world.items)
        if item.shelf_markets > 1 and held
    }

    def decide(_: int, day: MarketDay, farm: Farm) -> Answer:
        bring = []
        for at, item in enumerate(draw.world.items):
            if at in plans:
                bring.append(plans[at].quantity(rank[id(day)], farm.carried.get(item.name, 0)))
            else:
                bring.append(knowing_quantity(day.items[at], item))
        return Answer(tuple(bring), tuple(drawn.mean for drawn in day.items))

    return decide


def by_short_habit(draw: SeasonDraw, seed: Sequence[int], met: float = 0.2, wobble: float = 0.12) -> Decide:
    """Bring what meets the whole demand on a share `met` of days, give or take: a grower who likes an empty table."""
    rng = np.random.default_rng(list(seed))

    def decide(_: int, day: MarketDay, farm: Farm) -> Answer:
        totals = [np.quantile(drawn.book, met) * np.exp(rng.normal(0, wobble)) for drawn in day.items]
        carried = [farm.carried.get(item.name, 0) for item in draw.world.items]
        bring = tuple(max(0, max(1, round(float(total))) - old) for total, old in zip(totals, carried, strict=True))
        return Answer(bring, (None,) * len(bring))

    return decide


def profit(world: World, item: Item, drawn: ItemDay, fresh: int, carried: int, sale: Sale) -> float:
    """Expected profit of a stock by the day's own distribution, in money.

    Where customers swap, what one item earns hangs on the other tables, and what was really earned is taken instead.
    """
    demand = np.array([sale.sold]) if world.swaps else drawn.book
    sold = np.minimum(demand, fresh + carried)
    over = fresh + carried - sold
    scrap = np.maximum(0, carried - sold) if item.shelf_markets > 1 else over
    return float((drawn.price * sold + item.leftover * scrap).mean() - item.cost * fresh)


def truth_told(record: Record, sale: Sale) -> Record:
    """The line as it would read had there been plenty: everybody served."""
    plenty = max(record["brought"], sale.wanted + 1 - record["carried_in"])
    left = plenty + record["carried_in"] - sale.wanted
    return record | {"brought": plenty, "sold": sale.wanted, "left": left, "sold_out": False, "sold_out_at": None}


def play(
    draw: SeasonDraw, days: Sequence[MarketDay], decide: Decide, farm: Farm, *, times: bool = True, told: bool = False
) -> list[Line]:
    """Play `days` on from the state of `farm`, which is changed. times: note sell-out times; told: note true demand."""
    world = draw.world
    lines: list[Line] = []
    for number, day in enumerate(days):
        if day.called_off:
            farm.records.extend(note_called_off(world, day))
            continue
        answer = decide(number, day, farm)
        carried = [farm.carried.get(item.name, 0) for item in world.items]
        sales = sell(world, day, [fresh + old for fresh, old in zip(answer.bring, carried, strict=True)])
        for at, item in enumerate(world.items):
            fresh, old, sale, drawn = answer.bring[at], carried[at], sales[at], day.items[at]
            lines.append(
                Line(
                    day.week,
                    profit(world, item, drawn, fresh, old, sale),
                    answer.mean[at],
                    drawn.mean,
                    fresh + old,
                    sale.wanted,
                    sale.out_at is not None,
                    critical_share(drawn.price, item.cost, item.leftover),
                )
            )
            if fresh + old:
                record = note(world, day, item, drawn, fresh, old, sale, times=times)
                farm.records.append(truth_told(record, sale) if told else record)
            if item.shelf_markets > 1:
                left_of_fresh = fresh + old - max(sale.sold, old)
                farm.carried[item.name] = int(carried_on(item, np.array([left_of_fresh]))[0])
    return lines
