"""Plays a policy through weeks of sowing, moving, cutting and selling, and keeps the score and the notebook."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from farmops.core.sizing import Kept, Plan
from farmops.proving.sown.farm import KEEP_LOSS, PROMISED_PRICE, Farm
from farmops.proving.sown.greenhouse import NOTHING, Greenhouse, Planting
from farmops.proving.sown.luck import Luck
from farmops.proving.worlds.draws import MarketDay, SeasonDraw
from farmops.proving.worlds.notebook import Record
from farmops.proving.worlds.stall import note, sell

ALMOST = 0.98  # a share kept of that much is all of it: the rest is the solver's tolerance


@dataclass(frozen=True, slots=True)
class Week:
    """One week, scored. Money as expected by the days' own distributions; amounts in items; parts of the sowing."""

    week: int
    profit: float
    grown: float
    sold: float
    wanted: float
    promised: float
    failed: float
    parts: float
    changed: float
    expected_parts: float
    full: tuple[str, ...]  # kinds of space that are full


@dataclass(frozen=True, slots=True)
class Decision:
    """parts to sow by item; plan of the week's cutting and selling; looked_for: parts planned last Monday."""

    parts: Mapping[int, float]
    plan: Plan
    expected: Mapping[int, float] | None = None
    by_shares: bool = True  # the plan says what may give way; else crops past their first cutting do


@dataclass(slots=True)
class State:
    """All that a farm takes from one week to the next."""

    house: Greenhouse
    stock: dict[int, list[float]] = field(default_factory=dict)  # by weeks an item still keeps
    records: list[Record] = field(default_factory=list)
    sales: dict[tuple[int, int], float] = field(default_factory=lambda: defaultdict(float))


class Policy(Protocol):
    """Somebody who decides on Mondays."""

    def decide(self, state: State, week: int) -> Decision:
        """What to sow, and what to do with what stands."""


class Season:
    """One drawn season of one farm."""

    def __init__(self, farm: Farm, draw: SeasonDraw, luck: Luck) -> None:
        self.farm, self.draw, self.luck = farm, draw, luck
        self.days: dict[int, list[MarketDay]] = defaultdict(list)
        for day in draw.days:
            self.days[day.week].append(day)

    def start(self) -> State:
        return State(Greenhouse(self.farm, self.luck))

    def play(self, state: State, policy: Policy, weeks: Sequence[int]) -> list[Week]:
        """Play these weeks on from a state, which is changed."""
        return [self._week(state, policy, week) for week in weeks]

    def _week(self, state: State, policy: Policy, week: int) -> Week:
        house = state.house
        house.begin(week)
        decision = policy.decide(state, week)
        house.move(week, lambda kind, missing: _give_way(house, decision, kind, missing, week))
        sown = house.sow(week, decision.parts)
        used = house.used()
        full = tuple(kind for kind, places in self.farm.places.items() if used[kind] >= 0.95 * places)
        profit = -sum(self.farm.crops[item].cost * parts for item, parts in sown.items())
        sold = wanted = promised = failed = grown = 0.0
        for item in range(len(self.farm.crops)):
            one = self._sell(state, decision.plan, item, week)
            profit, sold, wanted = profit + one.profit, sold + one.sold, wanted + one.wanted
            promised, failed, grown = promised + one.promised, failed + one.failed, grown + one.grown
        expected = decision.expected
        return Week(
            week,
            profit,
            grown,
            sold,
            wanted,
            promised,
            failed,
            sum(decision.parts.values()),
            0.0 if expected is None else _changed(decision.parts, expected),
            0.0 if expected is None else sum(expected.values()),
            full,
        )

    def _sell(self, state: State, plan: Plan, item: int, week: int) -> "Sold":
        """Cut, deliver, take to market and keep what the plan says, as far as it is there."""
        crop, house = self.farm.crops[item], state.house
        line = next((one for one in plan.items if one.item == crop.key and one.week == 0), None)
        taken = [one.taken for one in plan.markets if one.item == crop.key and one.week == 0]
        ready, stock = house.ready(item, week), state.stock.get(item, [])
        harvest = min(ready, line.harvest if line else 0.0)
        house.cut(item, week, harvest)
        there = harvest + sum(stock)
        promised = self.farm.promised(item, week)
        met = min(promised, line.met if line else 0.0, there)
        left, sold = there - met, met
        profit = PROMISED_PRICE * crop.price * met - crop.price * (promised - met) - crop.cutting * harvest
        wanted = promised
        amounts = iter(taken)
        for day in self.days[week]:
            drawn = day.items[item]
            bring = min(math.floor(left + NOTHING), round(next(amounts, 0.0)))
            left -= bring
            expected = float(np.minimum(drawn.book, bring).mean())
            sold, wanted = sold + expected, wanted + drawn.mean
            profit += crop.price * expected
            sale = sell(self.draw.world, day, [bring if at == item else 0 for at in range(len(self.farm.crops))])[item]
            state.sales[item, week] += sale.sold
            if bring:
                entry = note(self.draw.world, day, self.draw.world.items[item], drawn, bring, 0, sale, times=True)
                state.records.append(entry)
        state.sales[item, week] += met
        _keep(state, item, crop.keeps, left, harvest)
        return Sold(profit, ready + house.spoiled.pop(item, 0.0), sold, wanted, promised, promised - met)


@dataclass(frozen=True, slots=True)
class Sold:
    """One item of one week."""

    profit: float
    grown: float
    sold: float
    wanted: float
    promised: float
    failed: float


def _keep(state: State, item: int, keeps: int, left: float, harvest: float) -> None:
    """What was not used goes on keeping, the oldest having been used first."""
    stock = state.stock.get(item, [])
    fresh = min(left, harvest)
    rest = left - fresh
    kept = [0.0] * max(keeps, 1)
    for age in range(len(stock) - 1, -1, -1):  # those that keep longest are used last
        part = min(stock[age], rest)
        rest -= part
        if age >= 1:
            kept[age - 1] += part * (1 - KEEP_LOSS)
    if keeps:
        kept[keeps - 1] += fresh * (1 - KEEP_LOSS)
    state.stock[item] = [amount if amount > NOTHING else 0.0 for amount in kept] if keeps else []


def _changed(parts: Mapping[int, float], expected: Mapping[int, float]) -> float:
    return sum(abs(parts.get(item, 0.0) - expected.get(item, 0.0)) for item in {*parts, *expected})


def _give_way(house: Greenhouse, decision: Decision, kind: str, missing: float, week: int) -> None:
    """Clear what the plan gives up, or what has been cut once, as far as it stands in the way."""
    here = [one for one in house.plantings if one.stages[one.stage].kind == kind]
    if not decision.by_shares:
        for planting in sorted(here, key=lambda one: one.sown):
            if missing > NOTHING and planting.first is not None and planting.heads == 0 and planting.first < week:
                missing -= planting.plants * planting.stages[planting.stage].places
                house.clear(planting, 0.0)
        return
    shares = {one.key: one for one in decision.plan.standing}
    for planting in here:
        line = shares.get(planting.key)
        kept = 1.0 if line is None else share_kept(line, planting)
        if missing > NOTHING and kept < ALMOST:
            used = _places(planting)
            gives = min(1 - kept, missing / used) if used > 0 else 0.0
            house.clear(planting, 1 - gives)
            missing -= gives * used


def share_kept(line: Kept, planting: Planting) -> float:
    """What the plan keeps of a planting now: of itself, and of the cutting that it now stands for."""
    return min(line.amounts[:2]) if planting.first is not None and len(line.amounts) > 1 else line.amounts[0]


def _places(planting: Planting) -> float:
    if planting.heads > 0:
        return planting.heads * planting.per_head
    return planting.plants * planting.stages[planting.stage].places
