"""The same question asked another way: every planting, week of cutting, week of use and use is a flow of its own.

Reference for tests only. `best_by_trying` tries every whole number of parts and solves the flows of each with scipy;
`best_of_flows` leaves the whole numbers to scipy's solver.
"""

import itertools
from collections import defaultdict

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from farmops.core.sizing import Heads, Problem, Settings
from tests.core.sizing.random_farms import MOST_PARTS


class Flows:
    """Columns with a worth and bounds, rows `terms <= upper`; parts of sowings are the first columns."""

    def __init__(self, problem: Problem, settings: Settings, most: float = MOST_PARTS) -> None:
        self.problem, self.settings = problem, settings
        self.worth: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.rows: list[tuple[dict[int, float], float]] = []
        self.constant = 0.0
        self.parts = [self.column(-sowing.cost, high=most) for sowing in problem.sowings]
        self.room: dict[tuple[str, int], list[tuple[int, float]]] = defaultdict(list)
        # (item, week of cutting or -1 - weeks it still keeps) -> columns of what is cut then
        self.sources: dict[tuple[str, int], list[int]] = defaultdict(list)
        self.items = {item.key: item for item in problem.items}
        self.mixed = {mix.item: mix.parts for mix in problem.mixes}
        self.minutes: dict[int, list[tuple[int, float]]] = defaultdict(list)
        self.grow()
        self.spread()
        self.limit()
        for space in problem.spaces:
            for week, places in enumerate(space.places):
                self.row(self.room[space.kind, week], places)

    def column(self, worth: float, high: float = np.inf, low: float = 0.0) -> int:
        self.worth.append(worth)
        self.low.append(low)
        self.high.append(high)
        return len(self.worth) - 1

    def row(self, terms: list[tuple[int, float]], upper: float) -> None:
        summed: dict[int, float] = defaultdict(float)
        for column, factor in terms:
            summed[column] += factor
        self.rows.append((dict(summed), upper))

    def grow(self) -> None:
        plantings = [(sowing, self.parts[place]) for place, sowing in enumerate(self.problem.sowings)]
        for planting in self.problem.standing:
            plantings.append((planting, self.column(0.0, high=1.0)))
            self.constant -= self.settings.stay_worth
            blocks = 0 if isinstance(planting.harvest, Heads) else len(planting.harvest.blocks)
            self.worth[plantings[-1][1]] = self.settings.stay_worth / (1 + blocks)
        self.beyond: dict[tuple[str, int], list[tuple[int, float]]] = defaultdict(list)
        for number, (planting, amount) in enumerate(plantings):
            for place in planting.room:
                self.room[place.kind, place.week].append((amount, place.places))
            harvest = planting.harvest
            is_new = number < len(self.parts)
            first = (
                harvest.ready
                if isinstance(harvest, Heads)
                else min(week for block in harvest.blocks for week, _ in block.harvests)
            )
            if is_new and first >= self.problem.weeks:
                self.high[amount] = 0.0
            if isinstance(harvest, Heads):
                self.grow_heads(planting.item, harvest, amount)
            else:
                worth = 0.0 if is_new else self.worth[amount]
                self.grow_cuts(planting.item, harvest.blocks, amount, worth)
        for (item, week), terms in self.beyond.items():
            need = self.items[item].beyond
            after = week - self.problem.weeks
            if after < len(need):
                worth = 0.4 * (0.8 * self.items[item].beyond_price - self.items[item].cutting)
                column = self.column(max(0.0, worth), high=need[after])
                self.row([(column, 1.0), *((other, -factor) for other, factor in terms)], 0.0)

    def grow_heads(self, item: str, heads: Heads, amount: int) -> None:
        gone: list[tuple[int, float]] = []
        for week in range(heads.ready, min(heads.last, self.problem.weeks - 1) + 1):
            self.room[heads.kind, week].append((amount, heads.places * heads.items))
            self.room[heads.kind, week].extend((column, -heads.places) for column, _ in gone)
            cut = self.column(-self.items[item].cutting)
            cleared = self.column(0.0)
            gone += [(cut, 1.0), (cleared, 1.0)]
            self.row([*gone, (amount, -heads.items)], 0.0)
            self.sources[item, week].append(cut)

    def grow_cuts(self, item: str, blocks: tuple, amount: int, worth: float) -> None:
        before = amount
        for block in blocks:
            kept = self.column(worth)
            self.row([(kept, 1.0), (before, -1.0)], 0.0)
            before = kept
            for place in block.room:
                self.room[place.kind, place.week].append((kept, place.places))
            for week, items in block.harvests:
                if week >= self.problem.weeks:
                    self.beyond[item, week].append((kept, items))
                    continue
                cut = self.column(-self.items[item].cutting)
                self.row([(cut, 1.0), (kept, -items)], 0.0)
                self.sources[item, week].append(cut)

    def spread(self) -> None:
        """Flows from each week of cutting (or from stock) to each week of use, and from there to each use."""
        arriving: dict[tuple[str, int], list[tuple[int, float]]] = defaultdict(list)
        for mix, parts in self.mixed.items():
            for week in range(self.problem.weeks):
                made = self.column(-self.items[mix].cutting)
                self.sources[mix, week].append(made)
                for part, amount in parts:
                    arriving[part, week].append((made, -amount))
        for item in self.problem.items:
            for start in range(self.problem.weeks):
                self.flow(item, arriving, start, item.keeps, self.sources[item.key, start], 0.0)
            for age, amount in enumerate(item.stock):
                self.flow(item, arriving, 0, age, [], amount)
        uses: dict[tuple[str, int], list[int]] = defaultdict(list)
        for promise in self.problem.promises:
            self.constant -= promise.penalty * promise.quantity
            column = self.column(promise.price + promise.penalty, promise.quantity)
            uses[promise.item, promise.week].append(column)
        for market in self.problem.markets:
            for piece in market.pieces:
                uses[market.item, market.week].append(self.column(piece.worth, piece.quantity))
        for key in {*uses, *arriving}:
            terms = [(column, 1.0) for column in uses[key]] + [(column, -share) for column, share in arriving[key]]
            self.row(terms, 0.0)

    def limit(self) -> None:
        """Seed, hands, and the price of leaving an accepted plan (up to the last week it has a line for)."""
        for stock in self.problem.seeds:
            lines = zip(self.problem.sowings, self.parts, strict=True)
            self.row([(part, line.seeds) for line, part in lines if line.seed == stock.seed], stock.on_hand)
        if self.problem.work:
            for line, part in zip(self.problem.sowings, self.parts, strict=True):
                self.minutes[line.week].append((part, line.minutes))
            for (item, week), columns in self.sources.items():
                self.minutes[week] += [(column, self.items[item].minutes) for column in columns]
            for week, minutes in enumerate(self.problem.work):
                self.row(self.minutes[week], minutes)
        if self.problem.accepted:
            before = {(line.item, line.week): line.parts for line in self.problem.accepted}
            last = max(line.week for line in self.problem.accepted)
            for line, part in zip(self.problem.sowings, self.parts, strict=True):
                if line.week <= last and self.high[part] > 0:
                    was = before.get((line.item, line.week), 0.0)
                    more, less = self.column(-self.settings.change_price), self.column(-self.settings.change_price)
                    self.row([(part, 1.0), (more, -1.0)], was)
                    self.row([(part, -1.0), (less, -1.0)], -was)

    def flow(self, item, arriving, start: int, keeps: int, sources: list[int], amount: float) -> None:
        out = []
        for use in range(start, min(start + keeps, self.problem.weeks - 1) + 1):
            lived = [(1 - item.keep_loss) ** week for week in range(use - start)]
            column = self.column(-self.settings.keep_price * sum(lived))
            out.append((column, 1.0))
            arriving[item.key, use].append((column, (1 - item.keep_loss) ** (use - start)))
        self.row([*out, *((source, -1.0) for source in sources)], amount)

    def best(self, parts: tuple[int, ...] | None = None, *, relaxed: bool = False) -> float | None:
        low, high = np.array(self.low), np.array(self.high)
        whole = np.zeros(len(low))
        if parts is None and not relaxed:
            whole[self.parts] = 1
        if parts is not None:
            if any(high[column] < count for column, count in zip(self.parts, parts, strict=True)):
                return None
            low[self.parts] = high[self.parts] = parts
        matrix = np.zeros((len(self.rows), len(low)))
        for number, (terms, _) in enumerate(self.rows):
            for column, factor in terms.items():
                matrix[number, column] = factor
        rows = LinearConstraint(matrix, -np.inf, np.array([upper for _, upper in self.rows]))
        result = milp(
            -np.array(self.worth),
            integrality=whole,
            bounds=Bounds(low, high),
            constraints=rows,
            options={"mip_rel_gap": 0.0},
        )
        return None if result.x is None else float(-result.fun) + self.constant


def best_by_trying(problem: Problem, settings: Settings) -> float:
    flows = Flows(problem, settings)
    tried = (flows.best(parts) for parts in itertools.product(range(MOST_PARTS + 1), repeat=len(problem.sowings)))
    return max(best for best in tried if best is not None)


def best_of_flows(problem: Problem, settings: Settings) -> float:
    best = Flows(problem, settings).best()
    assert best is not None
    return best


def relaxation_of_flows(problem: Problem, settings: Settings, most: float = MOST_PARTS) -> float:
    best = Flows(problem, settings, most).best(relaxed=True)
    assert best is not None
    return best
