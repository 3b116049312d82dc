"""The sizing programme as columns and rows.

Heads: what is cut in a week comes from the ready heads that stand, oldest first, which is exact as long as last weeks
come in the order of ready weeks; plantings that break this order are put into a pool of their own. Cut and picked
crops: shares of a sowing are kept block by block. Supply and use meet in one balance for each item and week; what keeps
is carried by age.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from .matrix import INFINITE, Matrix
from .problem import Cuts, Heads, Item, Mix, Problem, Settings, Sowing, Standing

BEYOND_WEEKS = 20
# Shares of the usual price credited to cuttings after the horizon: they compete with sowings not yet thought of.
BEYOND_SHARE, BEYOND_PRICE_SHARE = 0.4, 0.8

Terms = dict[int, float]  # column -> factor
Grid = dict[tuple[str, int], Terms]  # (item or kind, week) -> terms


@dataclass(slots=True)
class Pool:
    """Heads of one item standing in one kind of space, in the order in which they become ready and go past it."""

    item: str
    kind: str
    places: float
    members: list[tuple[int, int, float, int]] = field(default_factory=list)  # ready, last, items, column
    cut: dict[int, int] = field(default_factory=dict)  # week -> column
    left: dict[int, int] = field(default_factory=dict)


@dataclass(slots=True)
class Model:
    """The matrix and where in it everything is found again."""

    problem: Problem
    settings: Settings
    matrix: Matrix = field(default_factory=Matrix)
    sown: dict[int, int] = field(default_factory=dict)  # place in problem.sowings -> column
    share: list[int] = field(default_factory=list)  # of each standing planting
    blocks: dict[tuple[str, int], list[int]] = field(default_factory=dict)  # ("new" | "old", place) -> columns
    pools: list[Pool] = field(default_factory=list)
    outputs: Grid = field(default_factory=lambda: defaultdict(dict))  # what cuttings kept would give
    cut: dict[tuple[str, int], int] = field(default_factory=dict)  # items cut from cuttings
    ready: Grid = field(default_factory=lambda: defaultdict(dict))
    harvested: Grid = field(default_factory=lambda: defaultdict(dict))
    kept: dict[tuple[str, int], list[int]] = field(default_factory=dict)
    made: dict[tuple[str, int], int] = field(default_factory=dict)
    mixed: dict[tuple[str, int], dict[str, Terms]] = field(default_factory=dict)  # mix and week: amount of each part
    met: list[int] = field(default_factory=list)
    taken: list[list[int]] = field(default_factory=list)  # pieces of each market
    room: Grid = field(default_factory=lambda: defaultdict(dict))
    used: Grid = field(default_factory=lambda: defaultdict(dict))
    work: dict[int, Terms] = field(default_factory=lambda: defaultdict(dict))


def build(problem: Problem, settings: Settings) -> Model:
    """Columns and rows of a checked problem."""
    model = Model(problem, settings)
    items = {item.key: item for item in problem.items}
    _add_plantings(model)
    for pool in model.pools:
        _add_pool(model, pool, items[pool.item])
    _add_cut_supply(model, items)
    _add_mixes(model, items)
    _add_wants(model)
    for item in problem.items:
        _add_balances(model, item)
    _add_limits(model)
    _add_changes(model)
    _add_rules(model)
    return model


def _add(terms: Terms, column: int, factor: float) -> None:
    terms[column] = terms.get(column, 0.0) + factor


def _add_plantings(model: Model) -> None:
    problem, settings, matrix = model.problem, model.settings, model.matrix
    for place, sowing in enumerate(problem.sowings):
        if sowing.week >= problem.weeks or _first_harvest(sowing) >= problem.weeks:
            continue
        column = matrix.column(-sowing.cost, whole=is_whole(settings, sowing.week))
        model.sown[place] = column
        if sowing.minutes:
            _add(model.work[sowing.week], column, sowing.minutes)
        _grow(model, sowing, column, ("new", place), 0.0)
    for place, planting in enumerate(problem.standing):
        blocks = len(planting.harvest.blocks) if isinstance(planting.harvest, Cuts) else 0
        worth = settings.stay_worth / (1 + blocks)
        column = matrix.column(worth, 1.0)
        matrix.offset -= settings.stay_worth
        model.share.append(column)
        _grow(model, planting, column, ("old", place), worth)


def is_whole(settings: Settings, week: int) -> bool:
    """Whether parts sown in this week must be whole."""
    return settings.whole_weeks is None or week < settings.whole_weeks


def _first_harvest(planting: Sowing | Standing) -> int:
    if isinstance(planting.harvest, Heads):
        return planting.harvest.ready
    return min(week for block in planting.harvest.blocks for week, items in block.harvests if items > 0)


def _grow(model: Model, planting: Sowing | Standing, column: int, name: tuple[str, int], worth: float) -> None:
    """Room and outputs of one sowing or planting whose amount is `column`; worth: of keeping each block."""
    for occupancy in planting.room:
        _add(model.room[occupancy.kind, occupancy.week], column, occupancy.places)
    if isinstance(planting.harvest, Heads):
        heads = planting.harvest
        if heads.ready >= model.problem.weeks:
            _add(model.outputs[planting.item, heads.ready], column, heads.items)
        else:
            _join_pool(model, planting.item, heads, column)
        return
    columns: list[int] = []
    before = column
    for block in planting.harvest.blocks:
        kept = model.matrix.column(worth)
        model.matrix.at_most({kept: 1.0, before: -1.0})
        for occupancy in block.room:
            _add(model.room[occupancy.kind, occupancy.week], kept, occupancy.places)
        for week, items in block.harvests:
            _add(model.outputs[planting.item, week], kept, items)
        columns.append(kept)
        before = kept
    model.blocks[name] = columns


def _join_pool(model: Model, item: str, heads: Heads, column: int) -> None:
    """Put the heads where ready and last weeks stay in the same order (members are sorted when the pool is built)."""
    for pool in model.pools:
        if (pool.item, pool.kind, pool.places) == (item, heads.kind, heads.places) and all(
            (ready - heads.ready) * (last - heads.last) >= 0 for ready, last, _, _ in pool.members
        ):
            break
    else:
        pool = Pool(item, heads.kind, heads.places)
        model.pools.append(pool)
    pool.members.append((heads.ready, heads.last, heads.items, column))


def _add_pool(model: Model, pool: Pool, item: Item) -> None:
    """Cut and left standing, for each week. Left is at most what may still stand; ready heads take room all week."""
    matrix, weeks = model.matrix, model.problem.weeks
    first = min(ready for ready, _, _, _ in pool.members)
    end = min(weeks - 1, max(last for _, last, _, _ in pool.members))
    before: int | None = None
    for week in range(first, end + 1):
        ready: Terms = {}
        standing: Terms = {}
        for member_ready, last, items, column in pool.members:
            if member_ready == week:
                _add(ready, column, items)
            if member_ready <= week < last:
                _add(standing, column, -items)
        if not ready and before is None:
            continue
        cut = pool.cut[week] = matrix.column(-item.cutting)
        _add(model.harvested[pool.item, week], cut, 1.0)
        balance = {cut: 1.0, **{column: -items for column, items in ready.items()}}
        room = model.room[pool.kind, week]
        for column, items in ready.items():
            _add(room, column, pool.places * items)
            _add(model.ready[pool.item, week], column, items)
        if before is not None:
            balance[before] = -1.0
            _add(room, before, pool.places)
        before = None
        if standing and week < weeks - 1:
            left = pool.left[week] = matrix.column()
            balance[left] = 1.0
            matrix.at_most({left: 1.0, **standing})
            before = left
        matrix.at_most(balance)


def _add_cut_supply(model: Model, items: dict[str, Item]) -> None:
    matrix, weeks = model.matrix, model.problem.weeks
    for (key, week), outputs in model.outputs.items():
        item = items[key]
        if week < weeks:
            cut = model.cut[key, week] = matrix.column(-item.cutting)
            _add(model.harvested[key, week], cut, 1.0)
            for column, amount in outputs.items():
                _add(model.ready[key, week], column, amount)
            matrix.at_most({cut: 1.0, **{column: -amount for column, amount in outputs.items()}})
        elif week - weeks < min(BEYOND_WEEKS, len(item.beyond)):
            worth = BEYOND_SHARE * (BEYOND_PRICE_SHARE * item.beyond_price - item.cutting)
            if worth > 0:
                later = matrix.column(worth, item.beyond[week - weeks])
                matrix.at_most({later: 1.0, **{column: -amount for column, amount in outputs.items()}})


def _add_mixes(model: Model, items: dict[str, Item]) -> None:
    for mix in model.problem.mixes:
        for week in range(model.problem.weeks):
            made = model.made[mix.item, week] = model.matrix.column(-items[mix.item].cutting)
            _add(model.harvested[mix.item, week], made, 1.0)
            parts: dict[str, Terms] = {part: {made: amount} for part, amount in mix.parts}
            _add_leeway(model, mix, made, parts)
            for part, terms in parts.items():
                for column, factor in terms.items():
                    _add(model.used[part, week], column, factor)
            model.mixed[mix.item, week] = parts


def _add_leeway(model: Model, mix: Mix, made: int, parts: dict[str, Terms]) -> None:
    """What goes out of the recipe comes in of other parts, each inside its limits."""
    matrix, balance = model.matrix, Terms()
    for leeway in mix.leeway:
        for sign, limit in ((-1.0, leeway.down), (1.0, leeway.up)):
            if limit > 0:
                column = matrix.column(-model.settings.recipe_price / 2)
                matrix.at_most({column: 1.0, made: -limit})
                _add(parts[leeway.part], column, sign * leeway.whole)
                balance[column] = sign
    if balance:
        matrix.row(balance, 0.0, 0.0)


def _add_wants(model: Model) -> None:
    matrix = model.matrix
    for promise in model.problem.promises:
        column = matrix.column(promise.price + promise.penalty, promise.quantity)
        matrix.offset -= promise.penalty * promise.quantity
        model.met.append(column)
        _add(model.used[promise.item, promise.week], column, 1.0)
    for market in model.problem.markets:
        columns = [matrix.column(piece.worth, piece.quantity) for piece in market.pieces]
        model.taken.append(columns)
        for column in columns:
            _add(model.used[market.item, market.week], column, 1.0)


def _add_balances(model: Model, item: Item) -> None:
    """Harvest + out of the cold room >= uses + into the cold room; what is kept is counted by its age."""
    matrix, weeks = model.matrix, model.problem.weeks
    share = 1.0 - item.keep_loss
    stock = item.stock + (0.0,) * (item.keeps + 1 - len(item.stock))
    before: list[int] = []
    for week in range(weeks):
        fresh = model.harvested.get((item.key, week), {})
        used = model.used.get((item.key, week), {})
        in_stock = sum(stock) if week == 0 else 0.0
        balance = {**used}
        for column, factor in fresh.items():
            _add(balance, column, -factor)
        for column in before:
            balance[column] = -share
        kept: list[int] = []
        if week < weeks - 1 and (fresh or before or in_stock):
            for age in range(1, item.keeps + 1):
                source = {column: -factor for column, factor in fresh.items()} if age == 1 else {}
                if 0 < age - 1 <= len(before):
                    source[before[age - 2]] = -share
                from_stock = stock[item.keeps - age + 1] if week == 0 else 0.0
                column = matrix.column(-model.settings.keep_price)
                matrix.at_most({column: 1.0, **source}, from_stock)
                balance[column] = 1.0
                kept.append(column)
        if kept:
            model.kept[item.key, week] = kept
        if used or kept:
            matrix.at_most(balance, in_stock)
        before = kept


def _add_limits(model: Model) -> None:
    problem, matrix = model.problem, model.matrix
    if model.settings.room_counts:
        for space in problem.spaces:
            for week, places in enumerate(space.places):
                terms = model.room.get((space.kind, week))
                if terms and places < INFINITE:
                    matrix.at_most(terms, places, ("room", space.kind, week))
    for stock in problem.seeds:
        terms = {
            model.sown[place]: sowing.seeds
            for place, sowing in enumerate(problem.sowings)
            if sowing.seed == stock.seed and sowing.seeds and place in model.sown
        }
        if terms:
            matrix.at_most(terms, stock.on_hand, ("seed", stock.seed))
    if problem.work:
        minutes = {item.key: item.minutes for item in problem.items}
        for (key, week), terms in model.harvested.items():
            for column, factor in terms.items():
                if minutes[key]:
                    _add(model.work[week], column, factor * minutes[key])
        for week, terms in model.work.items():
            matrix.at_most(terms, problem.work[week], ("work", week))


def priced_weeks(problem: Problem) -> int:
    """Sowing weeks in which a change against the accepted plan is priced: up to its last sowing."""
    return 1 + max((line.week for line in problem.accepted or ()), default=-1)


def _add_changes(model: Model) -> None:
    if not model.problem.accepted or not model.settings.change_price:
        return
    matrix, price = model.matrix, model.settings.change_price
    accepted = {(line.item, line.way, line.week): line.parts for line in model.problem.accepted}
    for place, column in model.sown.items():
        sowing = model.problem.sowings[place]
        parts = accepted.get((sowing.item, sowing.way, sowing.week), 0.0)
        if sowing.week >= priced_weeks(model.problem):
            continue
        if parts == 0:
            matrix.cost[column] -= price
            continue
        change = matrix.column(-price)
        matrix.at_most({column: 1.0, change: -1.0}, parts)
        matrix.at_most({column: -1.0, change: -1.0}, -parts)


def _add_rules(model: Model) -> None:
    problem, matrix = model.problem, model.matrix
    names = {(sowing.item, sowing.way, sowing.week): place for place, sowing in enumerate(problem.sowings)}
    standing = {planting.key: place for place, planting in enumerate(problem.standing)}
    promises = {promise.key: place for place, promise in enumerate(problem.promises)}
    for number, rule in enumerate(problem.rules):
        label = ("rule", number)
        if rule.kind == "meet":
            place = promises[rule.key]
            matrix.row({model.met[place]: 1.0}, problem.promises[place].quantity, INFINITE, label)
        elif rule.kind == "keep":
            place = standing[rule.key]
            columns = [model.share[place], *model.blocks.get(("old", place), [])]
            matrix.row(dict.fromkeys(columns, 1.0), float(len(columns)), INFINITE, label)
        else:
            column = model.sown.get(names.get((rule.item, rule.way, rule.week), -1))
            terms = {} if column is None else {column: 1.0}
            if rule.kind == "sow_at_least":
                matrix.row(terms, rule.amount, INFINITE, label)
            else:
                matrix.at_most(terms, rule.amount, label)
