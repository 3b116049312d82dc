"""One season of a world: what customers would take on each market day, and the book of what was to be expected.

A season is drawn once and every policy is tried on the same draws. `ItemDay.book` are draws of the same day's demand
from the world's own law, given what was known the evening before: who holds them knows each day's distribution, but
not the draw.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from farmops.proving.worlds.arrivals import arrival_times, share_come
from farmops.proving.worlds.parts import Item, Market, Season, World

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
BOOK = 1500
WEEKS_A_YEAR = 52.0
DRIFT_WEEKS = 60.0  # growth and decline wear off: a stall does not double every year for ever


@dataclass(frozen=True, slots=True)
class ItemDay:
    """One item on one market day. times: shares of the opening hours, sorted; pieces, luck: one for each customer."""

    price: float
    times: Floats
    pieces: Ints
    luck: Floats
    book: Ints  # (BOOK,) sorted draws of the demand
    mean: float  # expected demand, given what was known the evening before
    forgets: bool


@dataclass(frozen=True, slots=True)
class MarketDay:
    """One market of one week; `leaves` is the share of the opening hours at which the seller packs up, or 1."""

    week: int
    day: date
    market: Market
    rains: bool
    called_off: bool
    leaves: float
    items: tuple[ItemDay, ...]


@dataclass(frozen=True, slots=True)
class SeasonDraw:
    """All market days in order of date, and each item's first guess by market (None = the grower has none)."""

    world: World
    days: tuple[MarketDay, ...]
    guesses: dict[tuple[str, str], float | None]


def season_factor(season: Season, week_of_year: float) -> float:
    """Factor in [floor, 1]: half bells of unlike width around the peak, on a circle of 52 weeks."""
    away = (week_of_year - season.peak + WEEKS_A_YEAR / 2) % WEEKS_A_YEAR - WEEKS_A_YEAR / 2
    width = season.rise if away < 0 else season.fall
    return float(season.floor + (1 - season.floor) * np.exp(-0.5 * (away / width) ** 2))


def dry_mean(world: World, market: Market, item: Item, day: date, week: int, price: float, step: float) -> float:
    """Customers expected on a dry day for the item itself; `step` is the log of its random walk so far."""
    of_year = (day.timetuple().tm_yday - 1) / 7
    special = world.special_weeks.get(int(of_year), 1.0)
    drifted = item.drift * DRIFT_WEEKS * (1 - float(np.exp(-week / DRIFT_WEEKS)))
    log = drifted + step + item.elasticity * float(np.log(price / item.price))
    course = season_factor(item.season, of_year)
    return item.usual * market.size * market.taste.get(item.name, 1.0) * course * special * float(np.exp(log))


def _pieces(item: Item, customers: Ints, rng: np.random.Generator) -> Ints:
    return customers + rng.binomial(customers, item.two_pieces) if item.two_pieces else customers


def _shared_luck(world: World, count: int, rng: np.random.Generator) -> Floats:
    """What `count` market days hold for all items at once, shape (count,), mean 1."""
    return np.ones(count) if world.day_spread is None else rng.gamma(world.day_spread, 1 / world.day_spread, count)


def _book(
    world: World, market: Market, dry: list[float], rains: bool, rng: np.random.Generator
) -> list[tuple[Ints, float]]:
    """For each item: sorted draws of its demand of the day, shape (BOOK,), and their exact-in-the-limit mean."""
    wet = np.full(BOOK, rains) if world.weather_told else rng.random(BOOK) < world.rain_chance
    shared = _shared_luck(world, BOOK, rng)
    early = wet & (rng.random(BOOK) < world.leaves_early)
    served = np.where(early, share_come(market, leaving_share(rng, BOOK)), 1.0)
    customers: list[Ints] = []
    for item, mean in zip(world.items, dry, strict=True):
        own = rng.gamma(world.item_spread, 1 / world.item_spread, BOOK)
        rain = np.where(wet, market.rain * item.rain, 1.0)
        customers.append(rng.poisson(mean * rain * shared * own * served))
    names = [item.name for item in world.items]
    taken = [_pieces(item, count, rng) for item, count in zip(world.items, customers, strict=True)]
    for item, count in zip(world.items, customers, strict=True):
        for other, chance in item.also_takes.items():
            taken[names.index(other)] = taken[names.index(other)] + rng.binomial(count, chance)
    return [(np.sort(one), float(one.mean())) for one in taken]


def leaving_share(rng: np.random.Generator, count: int) -> Floats:
    """When a seller packs up in the rain, as shares of the opening hours, shape (count,)."""
    return rng.uniform(0.4, 0.85, count)


def _items_of_day(
    world: World, market: Market, dry: list[float], prices: list[float], rains: bool, leaves: float, rngs: "_Streams"
) -> tuple[ItemDay, ...]:
    """Draw each item's customers through the day, those taken along by buyers of another item included."""
    rng = rngs.customers
    shared = float(_shared_luck(world, 1, rng)[0])
    times, pieces = [], []
    for item, mean in zip(world.items, dry, strict=True):
        rain = market.rain * item.rain if rains else 1.0
        own = rng.gamma(world.item_spread, 1 / world.item_spread)
        count = int(rng.poisson(mean * rain * shared * own))
        times.append(arrival_times(market, count, rng))
        pieces.append(1 + rng.binomial(1, item.two_pieces, count))
    names = [item.name for item in world.items]
    come = list(times)
    for item, own_times in zip(world.items, come, strict=True):
        for other, chance in item.also_takes.items():
            along = own_times[rng.random(len(own_times)) < chance]
            at = names.index(other)
            joined = np.concatenate([times[at], along])
            order = np.argsort(joined, kind="stable")
            times[at] = joined[order]
            pieces[at] = np.concatenate([pieces[at], np.ones(len(along), dtype=np.int64)])[order]
    book = _book(world, market, dry, rains, rngs.book)
    days = []
    for at, price in enumerate(prices):
        here = times[at] <= leaves
        luck = rng.random(len(times[at]))
        forgets = bool(rng.random() < world.forgotten)
        days.append(ItemDay(price, times[at][here], pieces[at][here], luck[here], *book[at], forgets))
    return tuple(days)


@dataclass(frozen=True, slots=True)
class _Streams:
    """Independent random streams, so that the book's draws never move the customers."""

    setting: np.random.Generator
    customers: np.random.Generator
    book: np.random.Generator


def draw_season(world: World, seed: int, number: int, weeks: tuple[int, ...]) -> SeasonDraw:
    """Draw the market days of `weeks` (ascending, 0 = first) of season `number`; weeks left out have no market."""
    identity = list(world.name.encode())
    streams = _Streams(*(np.random.default_rng([seed, number, part, *identity]) for part in range(3)))
    rng = streams.setting
    walks = np.cumsum(rng.normal(0, world.walk, (weeks[-1] + 1, len(world.items))), axis=0)
    moved = rng.random(walks.shape) < world.price_moves
    factors = rng.choice(world.price_factors, walks.shape)
    days: list[MarketDay] = []
    for week in weeks:
        for market in sorted(world.markets, key=lambda one: one.weekday):
            day = world.starts + timedelta(days=7 * week + market.weekday - world.starts.weekday())
            rains = bool(rng.random() < world.rain_chance)
            called_off = bool(rng.random() < world.called_off)
            packs_up = bool(rng.random() < world.leaves_early)
            leaves = float(leaving_share(rng, 1)[0])
            prices = [
                round(item.price * float(factors[week, at]) * 20) / 20 if moved[week, at] else item.price
                for at, item in enumerate(world.items)
            ]
            dry = [
                dry_mean(world, market, item, day, week, prices[at], float(walks[week, at]))
                for at, item in enumerate(world.items)
            ]
            until = leaves if rains and packs_up else 1.0
            drawn = _items_of_day(world, market, dry, prices, rains, until, streams)
            days.append(MarketDay(week, day, market, rains, called_off, until, drawn))
    return SeasonDraw(world, tuple(days), _guesses(world, days, rng))


def usual_mean(world: World, market: Market, item: Item, dry: float) -> float:
    """Pieces expected over dry and rainy days alike, from the customers of a dry day."""
    rain = 1 - world.rain_chance * (1 - market.rain * item.rain)
    return dry * rain * (1 + item.two_pieces)


def _guesses(world: World, days: list[MarketDay], rng: np.random.Generator) -> dict[tuple[str, str], float | None]:
    """What the grower believes before the first market: a usual day's demand by then, missed by the guess error."""
    guesses: dict[tuple[str, str], float | None] = {}
    for market in world.markets:
        first = next(day for day in days if day.market.name == market.name)
        for item in world.items:
            missed = float(np.exp(rng.normal(0, world.guess_error)))
            missing = bool(rng.random() < world.guess_missing)
            dry = dry_mean(world, market, item, first.day, first.week, item.price, 0.0)
            guess = usual_mean(world, market, item, dry) * missed
            guesses[market.name, item.name] = None if missing else max(1.0, round(guess))
    return guesses
