"""Two seasons of the invented farm by its habits: sow the same every week, bring about what sold last time."""

import math
from dataclasses import dataclass, field
from datetime import date, timedelta

from farmops.proving.demo_farm import hidden
from farmops.proving.demo_farm.facts import (
    BOX_FILLS,
    BOX_SIZES,
    BOX_WEEKS,
    BUYERS,
    CALLED_OFF,
    CARRIED,
    DATED_PARTS,
    FIRST_DAY,
    FRI,
    ITEM,
    ITEMS,
    LAST_SOWING,
    MON,
    NEW_IN_2026,
    ORDERS,
    SATURDAY,
    THU,
    TODAY,
    TUE,
    VARIETIES,
    VARIETY,
    WEDNESDAY,
    WEEKLY_PARTS,
    Market,
    market_on,
)
from farmops.proving.demo_farm.greenhouse import Greenhouse
from farmops.proving.demo_farm.stall import sell

POUND_G = 453.59237
# What the farm brought at first (Saturday, Wednesday), and how it rounds: under 1 careful, over 1 hopeful.
FIRST_BROUGHT = {
    "butterhead lettuce": (25, 14), "red oakleaf lettuce": (15, 8), "romaine lettuce": (20, 10),
    "salad mix bag": (25, 12), "salad mix loose": (20, 10), "arugula bag": (15, 10), "sweet basil": (15, 10),
    "purple basil": (12, 8), "cilantro": (20, 12), "flat-leaf parsley": (20, 10), "curly kale": (20, 10),
    "dark flat kale": (15, 10), "rainbow chard": (20, 10),
}  # fmt: skip
HOPE = {
    "butterhead lettuce": 1.14, "salad mix bag": 1.18, "sweet basil": 1.12, "cilantro": 1.1, "salad mix loose": 1.2,
    "romaine lettuce": 1.15, "red oakleaf lettuce": 1.25, "arugula bag": 1.15, "purple basil": 1.3,
    "flat-leaf parsley": 1.45, "curly kale": 1.3, "dark flat kale": 1.45, "rainbow chard": 1.4,
}  # fmt: skip
RESTOCKED = {  # (day, item): share that stayed in the van at first
    (date(2026, 5, 30), "salad mix bag"): 0.45,
    (date(2026, 7, 25), "sweet basil"): 0.5,
}
GUESSED = {"purple basil": (14, 10)}  # the grower's own guess of a new item, noted at its first market


@dataclass(frozen=True, slots=True)
class StallDay:
    """One item on one market day as noted that evening (counts in steps); "" or None is not noted."""

    day: date
    market: Market
    item: str
    brought: int
    carried_in: int
    left: int | None
    sold: int | None
    sold_out_at: tuple[int, ...]
    restocked: int
    restocked_at: int | None
    weather: str
    guess: int | None
    called_off: str


@dataclass(frozen=True, slots=True)
class Hidden:
    """What nobody at the stall knows: who wanted the item that day, in steps."""

    day: date
    market: str
    item: str
    usual: float  # mean of what is wanted on a day of this season, weather and price
    wanted: int
    turned_away: int


@dataclass(slots=True)
class Season:
    """Everything that happened up to the evening before today."""

    greenhouse: Greenhouse = field(default_factory=Greenhouse)
    stall: list[StallDay] = field(default_factory=list)
    truth: list[Hidden] = field(default_factory=list)
    level: dict[tuple[str, str], float] = field(default_factory=dict)
    held_over: dict[str, int] = field(default_factory=dict)
    packed: dict[date, dict[str, int]] = field(default_factory=dict)  # harvest day, item: steps


def steps_of(item: str) -> float:
    """What one step of the item takes of its varieties together, as cut, in their unit."""
    what = ITEM[item]
    packed = VARIETY[what.parts[0][0]].packed / 100
    if what.contains:
        return float(what.contains) / POUND_G / packed
    return float(what.step) / packed if what.unit == "lb" else 1.0


def harvest(season: Season, item: str, wanted: int, day: date) -> int:
    """Cut and pack up to `wanted` steps; a short variety of a mix is made up from the others. Steps packed."""
    house, each = season.greenhouse, steps_of(item)
    parts = ITEM[item].parts
    standing = {
        name: sum(one.on_offer for one in house.growing() if one.variety.name == name) for name, _share in parts
    }
    few = [name for name, share in parts if share <= 10]  # a strong leaf: never more of it than its share
    most = sum(amount for name, amount in standing.items() if name not in few)
    steps = min(wanted, math.floor(most / each + 1e-9))
    short = 0.0
    for name, share in parts:
        need = steps * each * share / 100
        short += need - house.cut(name, need, day)
    for name, _share in parts:
        if short > 1e-9 and name not in few:
            short -= house.cut(name, short, day)
    packed = season.packed.setdefault(day, {})
    packed[item] = packed.get(item, 0) + steps
    return steps


def sow(season: Season, day: date) -> None:
    """Monday's sowing: the same as ever, skipped where there is no room or the year is too old."""
    for variety in sorted(VARIETIES, key=lambda variety: variety.name in WEEKLY_PARTS):
        if variety.name in WEEKLY_PARTS and (2, 1) <= (day.month, day.day) <= LAST_SOWING:
            season.greenhouse.sow(variety, day, WEEKLY_PARTS[variety.name][day.isocalendar().week % 2])
        for (month, of_month), parts in DATED_PARTS.get(variety.name, ()):
            begins = date(day.year, month, of_month)
            is_time = begins <= day < begins + timedelta(days=28)
            done = any(one.variety is variety and one.sown >= begins for one in season.greenhouse.plantings)
            if is_time and not done and not (variety.name in NEW_IN_2026 and day.year < 2026):
                season.greenhouse.sow(variety, day, parts)


def promised(day: date) -> list[tuple[str, int]]:
    """What buyers and boxes get from the harvest of that day: (item, steps)."""
    wanted: list[tuple[str, int]] = []
    days = {TUE: {TUE}, FRI: {FRI}}[day.weekday()]
    for buyer, item, amount, first, last in ORDERS:
        if dict(BUYERS)[buyer] in days and first <= day.month <= last:
            wanted.append((item, round(amount / float(ITEM[item].step))))
    first_week, last_week = BOX_WEEKS[day.year]
    if day.weekday() == TUE and first_week <= day.isocalendar().week <= last_week:
        for size, item, amount, first, last in BOX_FILLS:
            if first <= day.month <= last:
                wanted.append((item, amount * dict(BOX_SIZES)[size]))
    return wanted


def round_number(amount: float) -> int:
    """People bring round numbers: fives from fifteen up, else twos."""
    return max(2, 5 * round(amount / 5) if amount >= 15 else 2 * round(amount / 2))


def bring(season: Season, market: Market, day: date) -> dict[str, int]:
    """What the farm means to bring of each item: about what sold lately."""
    wish = {}
    for item in ITEMS:
        start = FIRST_BROUGHT[item.name][0 if market is SATURDAY else 1]
        level = season.level.get((market.name, item.name), start / HOPE[item.name])
        shaken = 1 + 0.05 * hidden.normal(hidden.stream("mood", day, item.name))
        wish[item.name] = round_number(level * HOPE[item.name] * shaken)
    return wish


def learn(season: Season, row: StallDay) -> None:
    """The habit: bring what sold; a little more where the table was empty, more if it was empty early."""
    if row.sold is None and row.left is None:
        return
    supply = row.brought + row.carried_in
    sold = row.sold if row.sold is not None else supply - (row.left or 0)
    if row.left == 0:
        early = row.sold_out_at and row.sold_out_at[-1] < (row.market.opens + row.market.closes) / 2
        sold = round(sold * (1.25 if early else 1.08)) + 1
    key = (row.market.name, row.item)
    before = season.level.get(key, supply / HOPE[row.item])
    season.level[key] = max(4.0, before + 0.45 * (sold - before))


def _noted_minute(rng_share: float, minute: float, market: Market) -> int:
    grain = 5 if rng_share < 0.6 else 15
    return max(market.opens, min(market.closes, grain * round(minute / grain)))


def stand(season: Season, market: Market, day: date, on_van: dict[str, int]) -> None:
    """One market day: sell, and note in the evening what people note."""
    called_off = CALLED_OFF.get((day, market.name), "")
    rain = hidden.is_rainy(day, market)
    unnoted_weather = hidden.stream("weather noted", day).random() < 0.06
    weather = "" if unnoted_weather else ("rain" if rain else "dry")
    for item in ITEMS:
        carried = season.held_over.pop(item.name, 0) if market is WEDNESDAY else 0
        supply = on_van.get(item.name, 0) + carried
        if not supply:
            continue
        if called_off:
            season.stall.append(
                StallDay(
                    day, market, item.name, supply - carried, carried, None, None, (), 0, None, "", None, called_off
                )
            )
            continue
        crowd = hidden.customers(day, market, item.name)
        usual = hidden.usual_wish(day, market, item.name, rain)
        van = round(supply * RESTOCKED.get((day, item.name), 0.0))
        done = sell(crowd, supply - van, van, 35)
        season.truth.append(
            Hidden(day, market.name, item.name, usual, sum(units for _minute, units in crowd), done.turned_away)
        )
        row = _note(season, day, market, item.name, on_van.get(item.name, 0), carried, weather, van, done.left,
                    done.empty_at, done.fetched_at)  # fmt: skip
        season.stall.append(row)
        learn(season, row)
        if market is SATURDAY and item.name in CARRIED and done.left and row.left:
            season.held_over[item.name] = done.left


def _note(
    season: Season, day: date, market: Market, item: str, brought: int, carried: int, weather: str, van: int,
    left: int, empty_at: tuple[float, ...], fetched_at: float | None,
) -> StallDay:  # fmt: skip
    """What is written down: times are forgotten now and then, and so is, once in a while, what came back."""
    rng = hidden.stream("noted", day, market.name, item)
    time_forgotten, left_forgotten, grain = rng.random() < 0.22, rng.random() < 0.03, rng.random()
    times = tuple(_noted_minute(grain, minute, market) for minute in empty_at)
    if fetched_at is None and time_forgotten:
        times = ()
    restocked_at = None if fetched_at is None else _noted_minute(grain, fetched_at, market)
    is_first = item in GUESSED and not any(row.item == item and row.market is market for row in season.stall)
    guess = GUESSED[item][0 if market is SATURDAY else 1] if is_first else None
    noted_left = None if left_forgotten and left else left
    return StallDay(
        day, market, item, brought, carried, noted_left, None, times, van if restocked_at is not None else 0,
        restocked_at, weather, guess, "",
    )  # fmt: skip


def run(until: date = TODAY) -> Season:
    """Live through the days from the first sowing up to the evening before `until`."""
    season, day = Season(), FIRST_DAY
    on_van: dict[str, int] = {}
    while day < until:
        house = season.greenhouse
        house.grow(day)
        if (day.month, day.day) == (12, 21):
            for planting in house.growing():
                house.clear(planting, day)
        if day.weekday() in {MON, THU}:
            house.move(day)
        if day.weekday() == MON:
            sow(season, day)
        if day.weekday() in {TUE, FRI}:
            on_van = cut_for(season, day)
        market = market_on(day)
        if market:
            stand(season, market, day, on_van)
        day += timedelta(days=1)
    return season


def cut_for(season: Season, day: date) -> dict[str, int]:
    """Tuesday's or Friday's harvest: promises first, then tomorrow's market. Steps for the market."""
    for item, steps in promised(day):
        harvest(season, item, steps, day)
    market = market_on(day + timedelta(days=1))
    if not market:
        return {}
    wish = bring(season, market, day + timedelta(days=1))
    if market is WEDNESDAY:
        wish = {item: max(0, steps - season.held_over.get(item, 0)) for item, steps in wish.items()}
    return {item: harvest(season, item, steps, day) for item, steps in wish.items()}
