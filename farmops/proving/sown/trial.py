"""One season of sowing under every policy, from the same past: how near each comes to somebody who foresees growth."""

import copy
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from farmops.core.sizing import Settings
from farmops.core.sizing.reserve import RESERVE_DAYS, roomy_kinds
from farmops.proving.sown.farm import BEYOND, LOOKED_AT, YEAR, Farm, farm_of
from farmops.proving.sown.luck import Luck, Spreads, draw_luck
from farmops.proving.sown.policies import PLANNED, ByPlan, Constant, LastYear, Newsvendor
from farmops.proving.sown.product import Learning
from farmops.proving.sown.season import Decision, Policy, Season, State, Week
from farmops.proving.sown.views import Knowing
from farmops.proving.worlds.draws import SeasonDraw, draw_season

ROOMS = {"tight": 0.5, "loose": 1.2}
ITEM_SPREADS = (5.5, 8.0, 16.0)  # with the days' own spread of 40: dispersion of 4.8, 6.7 and 11.4
RUN_IN = 8  # weeks under a policy before they count: what the years before left has been cut by then
PRODUCT, CLAIRVOYANT = "product", "clairvoyant"
SEEN_DAILY = "product_seen_daily"  # that also expects slow plantings to stay slow
CHANGE_SHARE = 0.8  # of the cheapest part: what a change may cost at most, as in the farm's own plan
FIRST_GUESS = 0.25  # how far the first year's sowing lies from usual sales, standard deviation of the logarithm
CARRY = 0.7  # of a planting's own slowness, expected to go on in its later stages


@dataclass(frozen=True, slots=True)
class Score:
    """One policy in one season. waste: share of what was grown that was not sold; of_clairvoyant: share of profit."""

    room: str
    season: int
    policy: str
    profit: float
    of_clairvoyant: float
    waste: float
    served: float
    failed: float
    changed: float | None
    full: float  # share of weeks in which some kind of space was full


class Product:
    """The weekly plan on the product's own estimates."""

    def __init__(self, farm: Farm, learning: Learning, change_price: float | None = None) -> None:
        self.learning = learning
        price = change_price if change_price is not None else _change_price(farm)
        self.plan = ByPlan(farm, learning, replace(PLANNED, change_price=price))

    def decide(self, state: State, week: int) -> Decision:
        self.learning.look(state, week)
        decision = self.plan.decide(state, week)
        self.learning.roomy = roomy_kinds(decision.plan)
        return decision


def _change_price(farm: Farm) -> float:
    """As the farm's own plan takes it: less than the cheapest part costs."""
    return min(Settings().change_price, CHANGE_SHARE * min(crop.cost for crop in farm.crops))


class Informed:
    """A habit of sowing, that sells by the product's estimates."""

    def __init__(self, learning: Learning, habit: Policy) -> None:
        self.learning, self.habit = learning, habit

    def decide(self, state: State, week: int) -> Decision:
        self.learning.look(state, week)
        return self.habit.decide(state, week)


Extra = Callable[[Farm, SeasonDraw, Luck], Mapping[str, Policy]]  # further policies to try


def habits(farm: Farm, usual: Mapping[int, float]) -> dict[str, Policy]:
    """Habits of sowing; all cut, deliver and sell by the same estimates."""
    by_table = [Learning(farm, days=False, stand=False) for _habit in range(3)]
    return {
        "same_every_week": Informed(by_table[0], Constant(farm, by_table[0], usual)),
        "last_year": Informed(by_table[1], LastYear(farm, by_table[1])),
        "newsvendor": Informed(by_table[2], Newsvendor(farm, by_table[2])),
    }


def play_season(
    room: str,
    number: int,
    seed: int,
    policies: Sequence[str] = (),
    extra: Extra | None = None,
    *,
    counted: int = YEAR,
) -> list[Score]:
    """A year of habit, then every policy through the same year (or so many weeks) from the same start."""
    spread = ITEM_SPREADS[(seed + number) % len(ITEM_SPREADS)]
    farm = farm_of(ROOMS[room], spread)
    first, last = YEAR + RUN_IN, YEAR + RUN_IN + counted
    weeks = last + LOOKED_AT + BEYOND
    draw = draw_season(farm.world, seed, number, tuple(range(weeks)))
    luck = draw_luck(farm, weeks, Spreads(), np.random.default_rng([seed, number, 7]))
    season = Season(farm, draw, luck)
    knowing = Knowing(farm, draw, luck)
    past = season.start()
    rough = random.Random(f"{seed} {number}")
    guess = {
        item: sum(knowing.mean(item, week) for week in range(YEAR)) / YEAR * rough.lognormvariate(0, FIRST_GUESS)
        for item in range(len(farm.crops))
    }
    season.play(past, Constant(farm, knowing, guess), range(YEAR))
    usual = {item: sum(knowing.mean(item, week) for week in range(YEAR)) / YEAR for item in guess}
    all_policies: dict[str, Policy] = {
        CLAIRVOYANT: ByPlan(farm, knowing),
        PRODUCT: Product(farm, Learning(farm, reserve=RESERVE_DAYS)),
        SEEN_DAILY: Product(farm, Learning(farm, carry=CARRY, reserve=RESERVE_DAYS)),
        **habits(farm, usual),
        **(extra(farm, draw, luck) if extra else {}),
    }
    scores: list[Score] = []
    possible = 0.0
    for name, policy in all_policies.items():
        if policies and name not in policies:
            continue
        state = copy.deepcopy(past)
        played = season.play(state, policy, range(YEAR, last))[first - YEAR :]
        scored = score(room, number, name, played, possible)
        if name == CLAIRVOYANT:
            possible = scored.profit
            scored = replace(scored, of_clairvoyant=1.0)
        scores.append(scored)
    return scores


def score(room: str, season: int, policy: str, weeks: Sequence[Week], possible: float) -> Score:
    """Sums of the weeks; possible: profit of the clairvoyant. [money]"""
    profit = sum(week.profit for week in weeks)
    expected = sum(week.expected_parts for week in weeks)
    return Score(
        room,
        season,
        policy,
        profit,
        profit / possible if possible else 0.0,
        1 - sum(week.sold for week in weeks) / max(1.0, sum(week.grown for week in weeks)),
        sum(week.sold for week in weeks) / sum(week.wanted for week in weeks),
        sum(week.failed for week in weeks) / sum(week.promised for week in weeks),
        sum(week.changed for week in weeks) / expected if expected else None,
        sum(bool(week.full) for week in weeks) / len(weeks),
    )
