"""The product as a policy's view: customers by its estimator, days and losses by what was learned of own plantings."""

import math
from collections.abc import Sequence
from datetime import date, timedelta

from farmops.core.demand import Ask, Learned, MarketRecord, forecast, learn
from farmops.core.growth import Slowness
from farmops.core.own_days import Measured
from farmops.core.own_days import learn as learn_days
from farmops.core.own_stands import Counted, OwnStand, learn_stands
from farmops.core.sizing import Market, Stage, market_pieces
from farmops.exchange.stream import record_of
from farmops.proving.sizing_farms import PART_PLANTS, stages_of
from farmops.proving.sown.farm import STARTS, Farm
from farmops.proving.sown.greenhouse import Planting
from farmops.proving.sown.season import State
from farmops.proving.sown.views import with_records

REFIT = 4  # weeks after which the customers are learned anew; days and losses are each week
OWN_WEEKS = 78  # plantings sown longer ago are not looked at
HALF_A_DAY = 0.5


class Learning:
    """Everything it knows comes from the notebook and from what was seen of plantings."""

    def __init__(
        self, farm: Farm, *, days: bool = True, stand: bool = True, carry: float = 0.0, reserve: float = 0.0
    ) -> None:
        self.farm, self.learns_days, self.learns_stand, self.carry = farm, days, stand, carry
        self.reserve = reserve  # days, where room is no limit
        self.roomy: frozenset[str] = frozenset()
        self.learned: Learned | None = None
        self.learned_in = -REFIT
        self.slowness: dict[str, Slowness] = {}
        self.before: dict[str, Slowness] = {}
        self.stand: dict[tuple[str, int], OwnStand] = {}
        self._markets: dict[tuple[int, int], tuple[Market, ...]] = {}

    def look(self, state: State, week: int) -> None:
        """Read the notebook and the plantings, as on a Monday morning."""
        if week - self.learned_in >= REFIT:
            as_of = STARTS + timedelta(days=7 * week - 1)
            self.learned, self.learned_in = learn(records_of(state), as_of=as_of), week
            self._markets.clear()
        seen = [one for one in (*state.house.gone, *state.house.plantings) if one.sown >= week - OWN_WEEKS]
        if self.learns_days:
            self._learn_days(seen)
        if self.learns_stand:
            self._learn_stand(seen)

    def _learn_days(self, plantings: Sequence[Planting]) -> None:
        last, before = [], []
        for planting in plantings:
            crop = self.farm.crops[planting.item]
            table = stages_of(crop, planting.sown)
            count = len(table)
            if len(planting.seen) >= count - 1:
                days = sum(days for days, _share in planting.seen[: count - 1])
                scheduled = sum(stage.days for stage in table[:-1])
                before.append(_measured(crop.key, day_of(planting.sown), scheduled, days))
                if len(planting.seen) == count:
                    entered = day_of(planting.sown) + timedelta(days=round(days))
                    last.append(_measured(crop.key, entered, table[-1].days, planting.seen[-1][0]))
        names = [crop.key for crop in self.farm.crops]
        self.slowness, self.before = learn_days(last, names), learn_days(before, names)

    def _learn_stand(self, plantings: Sequence[Planting]) -> None:
        counted = []
        for planting in plantings:
            crop, alive = self.farm.crops[planting.item], planting.parts * PART_PLANTS
            for number, stage in enumerate(stages_of(crop, planting.sown)[: len(planting.seen)]):
                share = planting.seen[number][1]
                counted.append(Counted(crop.key, number, stage.survives, alive, alive * share))
                alive *= share or 1.0
        self.stand = learn_stands(counted)

    def stages(self, item: int, week: int) -> tuple[Stage, ...]:
        """The table's, with the farm's own pace and losses."""
        crop = self.farm.crops[item]
        table, entered, found = stages_of(crop, week), day_of(week), []
        for number, stage in enumerate(table):
            pace = (self.slowness if number == len(table) - 1 else self.before).get(crop.key)
            days = stage.days * (pace.factor_on(entered + timedelta(days=stage.days / 2)) if pace else 1.0)
            if number == len(table) - 1 and stage.kind in self.roomy and not self.farm.promised(item, week):
                days += self.reserve
            own = self.stand.get((crop.key, number))
            share = own.share(stage.survives) if own else stage.survives
            found.append(Stage(stage.kind, days, stage.places, share))
            entered += timedelta(days=round(days))
        return tuple(found)

    def rest(self, planting: Planting, week: int) -> tuple[Stage, ...]:
        """What is over as it was; a share of its own slowness goes on with it."""
        expected = self.stages(planting.item, planting.sown)
        if planting.seen and self.carry:
            took = sum(days for days, _share in planting.seen)
            usual = sum(stage.days for stage in expected[: len(planting.seen)])
            factor = math.exp(self.carry * math.log(took / usual))
            expected = tuple(Stage(one.kind, one.days * factor, one.places, one.survives) for one in expected)
        return with_records(planting, expected)

    def markets(self, item: int, week: int) -> Sequence[Market]:
        if (item, week) not in self._markets:
            self._markets[item, week] = tuple(self._forecast(item, week))
        return self._markets[item, week]

    def _forecast(self, item: int, week: int) -> list[Market]:
        if self.learned is None:
            raise ValueError("look at the notebook first")
        crop, found = self.farm.crops[item], []
        for market in self.farm.world.markets:
            day = self.farm.day(week, market)
            ask = Ask(day, market.name, crop.key, crop.grows, market.opens, market.closes, crop.price, crop.cutting)
            expected = forecast(self.learned, ask)
            chances = [float(chance) for chance in expected.probabilities]
            total = sum(chances)
            pieces = market_pieces([chance / total for chance in chances], crop.price)
            name = f"{market.name} {crop.key} {week}"
            found.append(Market(name, crop.key, week, pieces, crop.price, mean=expected.mean))
        return found

    def mean(self, item: int, week: int) -> float:
        return sum(market.mean for market in self.markets(item, week))


def day_of(week: int) -> date:
    """The Monday."""
    return STARTS + timedelta(days=7 * week)


def _measured(variety: str, entered: date, scheduled: float, took: float) -> Measured:
    """Somebody walked past on the day it was over, and the day before."""
    return Measured(variety, entered, scheduled, max(0.0, took - HALF_A_DAY), took + HALF_A_DAY)


def records_of(state: State) -> list[MarketRecord]:
    """The notebook as the estimator reads it."""
    return [one for one in map(record_of, (dict(record) for record in state.records)) if one is not None]
