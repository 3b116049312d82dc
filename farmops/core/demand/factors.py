"""The factors of the usual demand: level, market, season, rain and price, as columns of a table.

log mean = farm + level(item) + likeness(category) + market + market of the item + season(category) + season(item)
+ rain + elasticity · log(price / usual price) + wandering(farm) + wandering(item).
Wandering is a random walk, piecewise straight between a few ages before the last record.
Item columns come first (each item has its own), then the columns all items share.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from farmops.core.demand.exposure import DaySeen
from farmops.core.demand.special import FloatArray

# Standard deviations of the normal priors, on the log scale, as tried out on simulated seasons.
FARM_SD = 2.0
LEVEL_SD = 0.6
LIKENESS_SD = 0.35
MARKET_SD = 0.7
MARKET_OF_ITEM_SD = 0.25
SEASON_SHARED_SD = (0.2, 0.2, 0.08, 0.08)
SEASON_ITEM_SD = (0.08, 0.08, 0.03, 0.03)
RAIN_MEAN, RAIN_SD = -0.2, 0.35
RAIN_SHARE, RAIN_DAYS = 0.25, 8.0  # one day in four, worth eight market days: four wet ones do not make it always wet
ELASTICITY_MEAN, ELASTICITY_SD = -0.7, 0.5
WANDER_AGES = (0.0, 2.0, 4.0, 6.0, 9.0, 12.0, 16.0, 21.0, 27.0, 35.0, 45.0)  # weeks before the last record
WANDER_FARM_SD, WANDER_ITEM_SD = 0.03, 0.03  # of the log mean in one week, first idea; learned
SEASON_KNOWN_AFTER = 30.0  # weeks of history after which seasons count in full
SEASON_LEAST = 0.25
DAYS_A_YEAR = 365.25
_RAIN = {"rain": 1.0, "dry": 0.0}


@dataclass(frozen=True, slots=True)
class Layout:
    """Which column stands for what.

    Attributes
    ----------
    items, markets, categories : tuple of str
        Sorted.
    category_of : dict of str to str
    usual_price : dict of str to float
        Median of the item's noted prices. [money per step]
    rain_share : float in [0, 1]
        Share of the market days of known weather that were rainy; stands in where the weather is unknown.
    weeks : float, >= 0
        From the first to the last record. [weeks]
    last : date
        Of the last record.
    gaps : (g,) float
        Lengths of the stretches of wandering that the records reach into. [weeks]
    """

    items: tuple[str, ...]
    markets: tuple[str, ...]
    categories: tuple[str, ...]
    category_of: dict[str, str]
    usual_price: dict[str, float]
    rain_share: float
    weeks: float
    last: date
    gaps: FloatArray

    @property
    def item_width(self) -> int:
        return 1 + len(self.markets) + 4 + self.gaps.size

    @property
    def own_wander(self) -> slice:
        """Where the wandering of an item stands among its columns."""
        return slice(self.item_width - self.gaps.size, self.item_width)

    @property
    def shared_wander(self) -> slice:
        """Where the wandering of the farm stands among the shared columns."""
        return slice(self.shared_width - 2 - self.gaps.size, self.shared_width - 2)

    @property
    def shared_width(self) -> int:
        return 1 + len(self.markets) + 5 * len(self.categories) + self.gaps.size + 2


def layout_of(days: Sequence[DaySeen], extra: Sequence[tuple[str, str, str]] = ()) -> Layout:
    """The columns for the days given and for further (market, item, category) that have none yet."""
    category_of: dict[str, str] = {}
    for _, item, category in extra:
        category_of[item] = category
    prices: dict[str, list[float]] = {}
    weather: dict[tuple[date, str], bool] = {}
    for day in days:
        record = day.record
        category_of[record.item] = record.category
        if record.price is not None and record.price > 0:
            prices.setdefault(record.item, []).append(record.price)
        if record.weather:
            weather[record.day, record.market] = record.weather == "rain"
    dates = [day.record.day for day in days]
    weeks = (max(dates) - min(dates)).days / 7 if dates else 0.0
    ages = np.array(WANDER_AGES)
    return Layout(
        items=tuple(sorted(category_of)),
        markets=tuple(sorted({day.record.market for day in days} | {market for market, _, _ in extra})),
        categories=tuple(sorted(set(category_of.values()))),
        category_of=category_of,
        usual_price={item: float(np.median(seen)) for item, seen in prices.items()},
        rain_share=(sum(weather.values()) + RAIN_SHARE * RAIN_DAYS) / (len(weather) + RAIN_DAYS),
        weeks=weeks,
        last=max(dates, default=date.min),
        gaps=np.diff(ages)[ages[:-1] < weeks],
    )


def season_columns(days: Sequence[date]) -> FloatArray:
    """(n, 4) two harmonics of the year for each day."""
    of_year = {day: day.timetuple().tm_yday for day in set(days)}
    angle = 2 * math.pi * np.array([of_year[day] for day in days], dtype=np.float64) / DAYS_A_YEAR
    return np.stack([np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)], axis=1)


@dataclass(frozen=True, slots=True)
class Cell:
    """One item on one day at one market, as the columns need it."""

    day: date
    market: str
    item: str
    category: str
    rain: float
    log_price: float
    is_usual: bool = False  # a guess of the usual demand: no season, no rain, no price


def cell_of(day: DaySeen, layout: Layout) -> Cell:
    record = day.record
    rain = _RAIN.get(record.weather, layout.rain_share)
    usual = layout.usual_price.get(record.item, 0.0)
    log_price = math.log(record.price / usual) if record.price and record.price > 0 and usual > 0 else 0.0
    return Cell(record.day, record.market, record.item, record.category, rain, log_price)


def columns(cells: Sequence[Cell], layout: Layout) -> tuple[FloatArray, FloatArray]:
    """Item columns and shared columns of the cells.

    Parameters
    ----------
    cells : sequence of n Cell
        Markets or categories that the layout does not know get no column.
    layout : Layout

    Returns
    -------
    (n, item_width) float, (n, shared_width) float
    """
    n = len(cells)
    markets, categories = len(layout.markets), len(layout.categories)
    market_at = {name: at for at, name in enumerate(layout.markets)}
    category_at = {name: at for at, name in enumerate(layout.categories)}
    row = np.arange(n)
    market = np.array([market_at.get(cell.market, -1) for cell in cells], dtype=np.int64)
    named = [layout.category_of.get(cell.item, cell.category) for cell in cells]
    category = np.array([category_at.get(name, -1) for name in named], dtype=np.int64)
    usual = np.array([cell.is_usual for cell in cells], dtype=bool)
    season = season_columns([cell.day for cell in cells]) if n else np.zeros((0, 4))
    season[usual] = 0.0
    own = np.zeros((n, layout.item_width))
    shared = np.zeros((n, layout.shared_width))
    own[:, 0] = 1.0
    shared[:, 0] = 1.0
    known = market >= 0
    own[row[known], 1 + market[known]] = 1.0
    shared[row[known], 1 + market[known]] = 1.0
    own[:, 1 + markets : 5 + markets] = season
    if layout.gaps.size:
        age = np.array([(layout.last - cell.day).days / 7 for cell in cells])
        wander = np.clip((np.array(WANDER_AGES)[1 : layout.gaps.size + 1] - age[:, None]) / layout.gaps, 0.0, 1.0)
        own[:, layout.own_wander] = wander
        shared[:, layout.shared_wander] = wander
    known = category >= 0
    shared[row[known], 1 + markets + category[known]] = 1.0
    first = 1 + markets + categories
    for harmonic in range(4):
        shared[row[known], first + 4 * category[known] + harmonic] = season[known, harmonic]
    shared[:, -2] = [0.0 if cell.is_usual else cell.rain for cell in cells]
    shared[:, -1] = [0.0 if cell.is_usual else cell.log_price for cell in cells]
    return own, shared


@dataclass(frozen=True, slots=True)
class Priors:
    """Independent normal priors of the columns.

    Attributes
    ----------
    own_sd : (item_width,) float
        Centred on 0.
    shared_mean, shared_sd : (shared_width,) float
    """

    own_sd: FloatArray
    shared_mean: FloatArray
    shared_sd: FloatArray


def priors_of(layout: Layout, farm: float) -> Priors:
    """Priors for the layout; `farm` is a first idea of the log of a typical mean."""
    markets, categories = len(layout.markets), len(layout.categories)
    known = min(max(layout.weeks / SEASON_KNOWN_AFTER, SEASON_LEAST), 1.0)
    shared_mean = np.zeros(layout.shared_width)
    shared_mean[0] = farm
    shared_mean[-2:] = RAIN_MEAN, ELASTICITY_MEAN
    likeness = LIKENESS_SD if categories > 1 else 1e-3
    return Priors(
        own_sd=np.array(
            [LEVEL_SD, *[MARKET_OF_ITEM_SD] * markets]
            + [known * sd for sd in SEASON_ITEM_SD]
            + [WANDER_ITEM_SD * math.sqrt(gap) for gap in layout.gaps]
        ),
        shared_mean=shared_mean,
        shared_sd=np.array(
            [FARM_SD, *[MARKET_SD] * markets, *[likeness] * categories]
            + [known * sd for sd in SEASON_SHARED_SD] * categories
            + [WANDER_FARM_SD * math.sqrt(gap) for gap in layout.gaps]
            + [RAIN_SD, ELASTICITY_SD]
        ),
    )


def with_wander(priors: Priors, layout: Layout, farm_sd: float, item_sd: float) -> Priors:
    """The same priors with other spreads of wandering. [log mean a week]"""
    own_sd, shared_sd = priors.own_sd.copy(), priors.shared_sd.copy()
    own_sd[layout.own_wander] = item_sd * np.sqrt(layout.gaps)
    shared_sd[layout.shared_wander] = farm_sd * np.sqrt(layout.gaps)
    return Priors(own_sd, priors.shared_mean, shared_sd)
