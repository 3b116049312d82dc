"""What a simulated world is made of: plain data, nothing computed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True)
class Season:
    """A skewed yearly course: 1 at the peak week, `floor` far from it, unlike slopes before and after.

    Weeks are weeks of the year (0-51); rise and fall are the widths of the two half bells. [weeks]
    """

    peak: float = 26.0
    rise: float = 8.0
    fall: float = 8.0
    floor: float = 1.0


@dataclass(frozen=True, slots=True)
class Item:
    """One thing on the table. Counts are whole pieces (a bunch, a head, a bag), money per piece."""

    name: str
    category: str
    usual: float  # customers who want it on a dry day at its peak, market of size 1, usual price
    price: float
    cost: float
    leftover: float = 0.0
    season: Season = field(default_factory=Season)
    drift: float = 0.0  # change of log demand in the first week; wears off over the years
    elasticity: float = -0.6
    rain: float = 1.0  # factor on top of the market's own
    two_pieces: float = 0.0  # share of customers who take two
    also_takes: Mapping[str, float] = field(default_factory=dict)  # other item: chance to take one of it too
    shelf_markets: int = 1
    carry_loss: float = 0.0


@dataclass(frozen=True, slots=True)
class Market:
    """One market: weekday (Monday 0), hours in minutes after midnight, the customers' course through the day."""

    name: str
    weekday: int
    opens: int
    closes: int
    arrivals: tuple[tuple[float, float, float], ...]  # (weight, a, b): a mixture of beta distributions
    size: float = 1.0
    rain: float = 0.75  # factor on demand when it rains
    taste: Mapping[str, float] = field(default_factory=dict)  # item: factor on top of size


@dataclass(frozen=True, slots=True)
class World:
    """A market stall and its customers, with all that moves them and all that its keeper forgets to note."""

    name: str
    story: str
    starts: date
    markets: tuple[Market, ...]
    items: tuple[Item, ...]
    day_spread: float | None = 40.0  # shape of the gamma factor that all items of a market day share; None: they do not
    item_spread: float = 15.0  # shape of each item's own gamma factor
    walk: float = 0.015  # sd of the weekly random step of each item's log demand
    rain_chance: float = 0.25
    weather_told: bool = True  # the evening before; else asked without
    weather_noted: bool = True
    leaves_early: float = 0.0  # chance to pack up early when it rains
    called_off: float = 0.02
    forgotten: float = 0.1  # chance that a sell-out's time is not noted
    noted_to: int = 15  # minutes
    price_moves: float = 0.0  # chance, per item and week, of another price
    price_factors: tuple[float, ...] = (0.8, 0.9, 1.15)
    swaps: float = 0.0  # chance to take another item of the category when the wanted one is out
    special_weeks: Mapping[int, float] = field(default_factory=dict)  # week of the year: factor
    guess_error: float = 0.3  # sd of the log of the grower's first guess against the truth
    guess_missing: float = 0.15
