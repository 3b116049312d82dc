"""The fall-back: a weighted average of what sold by the share of the day it was there, leaning on similar items.

It needs no matrix, so it always gives an answer; its mean stands beside the pooled one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from farmops.core.demand.exposure import DayArrays, DaySeen, day_arrays
from farmops.core.demand.profile import DEFAULT_PROFILE
from farmops.core.demand.special import FloatArray

K = 8.0
HALF_LIFE = 4.0  # weeks
UNTIMED_EXPOSURE = 0.8
LEVEL_SD = 0.7
PASSES = 5
RATIO_RANGE = (0.3, 3.0)
FIRST_MEAN = 10.0  # with no record of anything [steps]


@dataclass(frozen=True, slots=True)
class SimpleMeans:
    """Means of the fall-back.

    Attributes
    ----------
    mean : dict of str to float
        Of each item on a dry day of an average market. [steps]
    sd : dict of str to float
        Of its logarithm.
    category_mean : dict of str to float
    farm_mean : float
    market_ratio : dict of str to float
    rain_ratio : float
    """

    mean: dict[str, float]
    sd: dict[str, float]
    category_mean: dict[str, float]
    farm_mean: float
    market_ratio: dict[str, float]
    rain_ratio: float

    def forecast(self, market: str, item: str, category: str, rain_chance: float) -> tuple[float, float]:
        """Mean and standard deviation of the log mean of one item on one day."""
        mean = self.mean.get(item, self.category_mean.get(category, self.farm_mean))
        factor = self.market_ratio.get(market, 1.0) * (1.0 + rain_chance * (self.rain_ratio - 1.0))
        return mean * factor, self.sd.get(item, LEVEL_SD)


def _ratio(part: tuple[float, float], rest: tuple[float, float]) -> float:
    """Quotient of two rates (sold by exposure), held within reason."""
    if part[1] <= 0 or rest[0] <= 0 or rest[1] <= 0:
        return 1.0
    return float(np.clip((part[0] / part[1]) / (rest[0] / rest[1]), *RATIO_RANGE))


def simple_means(days: Sequence[DaySeen], as_of: date, seen: DayArrays | None = None) -> SimpleMeans:
    """Fit the fall-back.

    Parameters
    ----------
    days : sequence of DaySeen
        Sorted; each must tell something.
    as_of : date
    seen : DayArrays, optional
        Of the days, where they are at hand.

    Returns
    -------
    SimpleMeans
    """
    if not days:
        return SimpleMeans({}, {}, {}, FIRST_MEAN, {}, 1.0)
    arrays = day_arrays(days) if seen is None else seen
    exposure = np.where(arrays.is_untimed, UNTIMED_EXPOSURE, arrays.exposure(DEFAULT_PROFILE.bins))
    sold = arrays.sold
    age = np.array([(as_of - day.record.day).days / 7 for day in days])
    recent = 0.5 ** (age / HALF_LIFE)
    items = np.array([day.record.item for day in days])
    markets = np.array([day.record.market for day in days])
    is_rain = np.array([day.record.weather == "rain" for day in days])
    is_dry = np.array([day.record.weather == "dry" for day in days])

    def sums(rows: np.ndarray) -> tuple[float, float]:
        return float(sold[rows].sum()), float(exposure[rows].sum())

    everything = sums(np.ones(sold.size, dtype=bool))
    market_ratio = {str(name): _ratio(sums(markets == name), everything) for name in sorted(set(markets.tolist()))}
    rain_ratio = _ratio(sums(is_rain), sums(is_dry))
    factor = np.array([market_ratio[str(name)] for name in markets]) * np.where(is_rain, rain_ratio, 1.0)
    category_of = {day.record.item: day.record.category for day in days}
    farm = max(everything[0] / everything[1], 0.1)
    mean = {item: farm for item in category_of}
    rows_of = {item: np.flatnonzero(items == item) for item in category_of}
    sd: dict[str, float] = {}
    category_mean: dict[str, float] = {}
    for _ in range(PASSES):
        farm = max(float(np.mean(list(mean.values()))), 0.1)
        for category in sorted(set(category_of.values())):
            alike = [mean[item] for item, own in category_of.items() if own == category]
            category_mean[category] = max(float(np.mean(alike)), 0.1)
        mean = {
            item: _item_mean(rows_of[item], sold, exposure * factor, recent, mean[item], category_mean[own], sd, item)
            for item, own in category_of.items()
        }
    return SimpleMeans(mean, sd, category_mean, farm, market_ratio, rain_ratio)


def _item_mean(
    rows: np.ndarray,
    sold: FloatArray,
    reach: FloatArray,
    recent: FloatArray,
    mean: float,
    alike: float,
    sd: dict[str, float],
    item: str,
) -> float:
    weight = recent[rows] * K / (K + mean * reach[rows])
    top = 1 / LEVEL_SD**2 + float(np.sum(weight * sold[rows]))
    bottom = 1 / (LEVEL_SD**2 * alike) + float(np.sum(weight * reach[rows]))
    better = top / bottom
    sd[item] = float(1 / np.sqrt(better * bottom))
    return better
