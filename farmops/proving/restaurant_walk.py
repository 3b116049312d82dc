"""Walks through the restaurant's notebook: on each market day ask for the next from the days before, then score.

The notebook is what it is, whatever a policy would have brought; the true demand scores the answers.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from farmops.proving.restaurant import Noted
from farmops.proving.worlds.notebook import Ask, Policy, Record

FIRST_DAY = 20  # market days before the first that is forecast
COST = 0.3  # of the price
Json = dict[str, object]


@dataclass(frozen=True, slots=True)
class Guess:
    """What a policy brings and expects for one item on one day. Money per piece."""

    item: str
    price: float
    demand: int
    bring: int
    mean: float | None

    def profit(self, stock: int) -> float:
        return self.price * (min(stock, self.demand) - COST * stock)


def as_served(one: Noted) -> Record:
    """The line as it would read had there been plenty for everybody: the truth told."""
    plenty = max(one.record["brought"], one.demand + 1)
    told: Record = {**one.record, "brought": plenty, "sold": one.demand, "left": plenty - one.demand}
    return {**told, "sold_out": False, "sold_out_at": None}


def as_noted(one: Noted) -> Record:
    return one.record


def walk(noted: Sequence[Noted], policy: Policy, told: Callable[[Noted], Record] = as_noted) -> list[Guess]:
    """Ask `policy` before each market day after the twentieth; `told` decides how the past reads."""
    days: dict[str, list[Noted]] = defaultdict(list)
    for one in noted:
        days[one.record["date"]].append(one)
    past: list[Record] = []
    guesses: list[Guess] = []
    for number, day in enumerate(sorted(days)):
        if number >= FIRST_DAY:
            answer = policy(past, [ask_for(one.record) for one in days[day]])
            guesses += [
                Guess(one.record["item"], one.record["price"], one.demand, bring, mean)
                for one, bring, mean in zip(days[day], answer.bring, answer.mean, strict=True)
            ]
        past = [*past, *(told(one) for one in days[day])]
    return guesses


def ask_for(record: Record) -> Ask:
    """The question of the evening before: no weather, no guess, nothing carried in."""
    return Ask(
        date=record["date"],
        market=record["market"],
        opens=record["opens"],
        closes=record["closes"],
        item=record["item"],
        category=record["category"],
        price=record["price"],
        weather=None,
        unit_cost=COST * record["price"],
        leftover_value=0.0,
        shelf_markets=1,
        carry_loss=0.0,
        carried_in=0,
        guess=None,
    )


def best_fixed(guesses: Sequence[Guess]) -> dict[str, int]:
    """For each item the one quantity that, brought every day, would have earned most: known in hindsight only."""
    items: dict[str, list[Guess]] = defaultdict(list)
    for one in guesses:
        items[one.item].append(one)
    best = {}
    for item, mine in items.items():
        top = max(one.demand for one in mine)
        best[item] = max(range(top + 1), key=lambda stock: sum(one.profit(stock) for one in mine))
    return best


def earned(guesses: Sequence[Guess], item: str | None = None) -> float:
    """Profit of what was brought, of one item or of all. [money]"""
    return sum(one.profit(one.bring) for one in guesses if item in {None, one.item})


def compare(guesses: Sequence[Guess], item: str | None = None) -> Json:
    """Forecast against truth, profit against the best fixed quantity in hindsight; for one item or for all."""
    mine = [one for one in guesses if item in {None, one.item}]
    fixed = best_fixed(mine)
    possible = sum(one.profit(fixed[one.item]) for one in mine)
    row: Json = {"profit_share": round(earned(mine) / possible, 5), "bias": None, "mean_absolute_error": None}
    forecast = [(one.mean, one.demand) for one in mine if one.mean is not None]
    if forecast:
        mean, demand = np.array(forecast, dtype=float).T
        row["bias"] = round(float(mean.sum() / demand.sum() - 1), 5)
        row["mean_absolute_error"] = round(float(np.abs(mean - demand).mean()), 4)
    return row | {"ran_out_share": round(float(np.mean([one.demand >= one.bring for one in mine])), 4)}
