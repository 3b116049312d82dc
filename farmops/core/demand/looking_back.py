"""What running out and compost cost, day by day and in sums, with ranges that own up to what is not known."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from farmops.core.demand.exposure import DaySeen, day_arrays, day_seen, with_early_leaving
from farmops.core.demand.factors import cell_of, columns
from farmops.core.demand.hindsight import lean, never_known
from farmops.core.demand.kernel import at_least, timed_slope
from farmops.core.demand.learning import Learned
from farmops.core.demand.profile import BINS, DEFAULT_PROFILE, coverage
from farmops.core.demand.records import MarketRecord
from farmops.core.demand.simple import K as SIMPLE_K
from farmops.core.demand.special import FloatArray

TELLS_LITTLE = 0.3  # of what a full day would tell about the usual demand
NORMAL_90 = 1.2815515655446004
_STEP = 0.01


@dataclass(frozen=True, slots=True)
class Economics:
    """What one step of an item sells for, costs to grow and pick, and is worth when left over. [money per step]"""

    price: float
    unit_cost: float
    leftover_value: float


@dataclass(frozen=True, slots=True)
class Range:
    """A figure and its 80 % range."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class DayBack:
    """One record, looked back at.

    Attributes
    ----------
    record : MarketRecord
    sold : float or None
        [steps]
    usual : float
        Usual demand of such a day. [steps]
    exposure : float in [0, 1]
        Share of the day's customers who found it on the table; 1 where the time is unknown.
    turned_away : float, >= 0
        Customers' worth of steps wanted and not there. [steps]
    turned_away_range : Range
    lost : float, >= 0
        turned_away × (price - unit cost). [money]
    left : int or None
        Came back. [steps]
    compost : float or None
        (left - not wasted) × (unit cost - leftover value). [money]
    marks : tuple of str
        Why the day tells little or what is odd: "sold not known", "time unknown", "gone at once", "left early",
        "does not balance".
    """

    record: MarketRecord
    sold: float | None
    usual: float
    exposure: float
    turned_away: float
    turned_away_range: Range
    lost: float
    left: int | None
    compost: float | None
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sum:
    """Over several records.

    Attributes
    ----------
    days, ran_out, untimed, left_unknown : int
    turned_away : Range
        [steps]
    lost : Range
        What running out cost. [money]
    left : int
        Steps that came back, where known.
    compost : Range
        What wasted leftovers cost; counted, so the range is closed unless leftovers are unknown. [money]
    """

    days: int
    ran_out: int
    untimed: int
    left_unknown: int
    turned_away: Range
    lost: Range
    left: int
    compost: Range


@dataclass(frozen=True, slots=True)
class LookingBack:
    """Days in order of item, day and market; sums by (market, item), by market, by item and in total."""

    days: tuple[DayBack, ...]
    lines: Mapping[tuple[str, str], Sum]
    markets: Mapping[str, Sum]
    items: Mapping[str, Sum]
    total: Sum


@dataclass(frozen=True, slots=True)
class _Missed:
    """Arrays over n days: turned away, its variance with the mean and the profile known, its slopes in the log mean
    and, (n, 20), in the log rates of the profile."""

    mean: FloatArray
    variance: FloatArray
    slope: FloatArray
    lean: FloatArray
    usual: FloatArray
    exposure: FloatArray
    weight: FloatArray


def looking_back(
    learned: Learned,
    records: Iterable[MarketRecord],
    economics: Mapping[tuple[str, str], Economics],
) -> LookingBack:
    """Customers turned away, and what running out and compost cost.

    Parameters
    ----------
    learned : Learned
    records : iterable of MarketRecord
        The days to look back at, usually those learned from.
    economics : mapping of (market, item) to Economics
        A price noted in a record counts for its day.

    Returns
    -------
    LookingBack

    Raises
    ------
    KeyError
        If a (market, item) has no economics.

    Notes
    -----
    Given y sold at exposure e the day's rate is Gamma(k + y, k/mean + e); the customers of the rest of the day are
    Poisson with that rate times the share of the day not served. With unknown time, E[D given D >= q] - q. A sum's
    variance is that of its days plus that of the means, which the days of an item share (delta method), plus what is
    never known; a known lean is taken off (see `hindsight`).
    """
    days = sorted(
        map(day_seen, with_early_leaving(list(records))),
        key=lambda day: (day.record.item, day.record.day, day.record.market),
    )
    missed = _less_lean(_missed(learned, days), days)
    margin = np.array([_margin(day.record, economics) for day in days])
    seen = tuple(_day_back(day, missed, at, margin[at], economics) for at, day in enumerate(days))
    keys = [(day.record.market, day.record.item) for day in days]

    def total(rows: list[int]) -> Sum:
        return _sum(learned, [seen[at] for at in rows], [days[at] for at in rows], missed, rows, margin)

    def grouped(names: list[str]) -> dict[str, Sum]:
        return {name: total([at for at, own in enumerate(names) if own == name]) for name in sorted(set(names))}

    return LookingBack(
        days=seen,
        lines={key: total([at for at, own in enumerate(keys) if own == key]) for key in sorted(set(keys))},
        markets=grouped([market for market, _ in keys]),
        items=grouped([item for _, item in keys]),
        total=total(list(range(len(days)))),
    )


def _less_lean(missed: _Missed, days: list[DaySeen]) -> _Missed:
    """The same with the known lean taken off."""
    factor = lean(days)
    return replace(
        missed,
        mean=missed.mean * factor,
        variance=missed.variance * factor**2,
        slope=missed.slope * factor,
        lean=missed.lean * factor[:, None],
    )


def _margin(record: MarketRecord, economics: Mapping[tuple[str, str], Economics]) -> float:
    own = economics[record.market, record.item]
    price = own.price if record.price is None else record.price
    return max(price - own.unit_cost, 0.0)


def _missed(learned: Learned, days: list[DaySeen]) -> _Missed:
    if not days:
        nothing = np.zeros(0)
        return _Missed(nothing, nothing, nothing, np.zeros((0, BINS)), nothing, nothing, nothing)
    fit = learned.fit
    k = fit.k if fit else SIMPLE_K
    usual = _usual(learned, days)
    arrays = day_arrays(days)
    bins = _profiles(learned, days)
    exposure = arrays.exposure(bins)
    sold = arrays.sold
    until = coverage(np.zeros(len(days)), np.array([day.last for day in days]))
    last = np.sum(until * bins, axis=1)
    served = np.sum(arrays.covered * bins, axis=1)
    known = np.array([day.tells for day in days])
    gap = np.where(known, np.maximum(last - served, 0.0), 0.0)
    rate = k / usual + exposure
    mean = gap * (k + sold) / rate
    variance = mean + gap**2 * (k + sold) / rate**2
    slope = mean * (k / usual) / rate
    gap_lean = bins * (until - arrays.covered - (last - served)[:, None])
    exposure_lean = bins * (arrays.covered - served[:, None])
    lean = ((k + sold) / rate)[:, None] * gap_lean - (mean / rate)[:, None] * exposure_lean
    lean[gap <= 0] = 0.0
    weight = timed_slope(sold, exposure, usual, k)[1] / (k * usual / (k + usual))
    untimed = arrays.is_untimed & known
    if untimed.any():
        reach = (usual * exposure)[untimed]
        tail = at_least(sold[untimed], reach, k)
        up, down = (at_least(sold[untimed], reach * np.exp(move), k).expected for move in (_STEP, -_STEP))
        mean[untimed] = np.maximum(tail.expected - sold[untimed], 0.0)
        variance[untimed] = tail.variance
        slope[untimed] = (up - down) / (2 * _STEP)
        lean[untimed] = 0.0
        weight[untimed] = tail.information / (k * usual / (k + usual))[untimed]
    return _Missed(mean, variance, slope, lean, usual, np.where(arrays.is_untimed, 1.0, served), weight)


def _profiles(learned: Learned, days: list[DaySeen]) -> FloatArray:
    """(n, 20) when the customers of each day's market come."""
    bins = np.tile(DEFAULT_PROFILE.bins, (len(days), 1))
    if learned.fit is not None:
        at = {name: index for index, name in enumerate(learned.layout.markets)}
        learned_bins = learned.fit.crowds.bins()
        for row, day in enumerate(days):
            if day.record.market in at:
                bins[row] = learned_bins[at[day.record.market]]
    return bins


def _usual(learned: Learned, days: list[DaySeen]) -> FloatArray:
    """(n,) usual demand of each day."""
    fit, layout = learned.fit, learned.layout
    if fit is None:
        return np.array(
            [
                learned.simple.forecast(
                    day.record.market, day.record.item, day.record.category, float(day.record.weather == "rain")
                )[0]
                for day in days
            ]
        )
    own, shared = columns([cell_of(day, layout) for day in days], layout)
    eta = shared @ fit.values.shared
    at = {name: index for index, name in enumerate(layout.items)}
    for row, day in enumerate(days):
        item = at.get(day.record.item)
        if item is not None:
            eta[row] += own[row] @ fit.values.own[item]
    return np.asarray(np.exp(np.clip(eta, -16.0, 16.0)), dtype=np.float64)


def _left(day: DaySeen) -> int | None:
    record = day.record
    if record.left is not None:
        return record.left
    return max(record.brought + record.carried_in - record.sold, 0) if record.sold is not None else None


def _wasted(day: DaySeen, left: int) -> int:
    return max(left - day.record.not_wasted, 0)


def _day_back(
    day: DaySeen, missed: _Missed, at: int, margin: float, economics: Mapping[tuple[str, str], Economics]
) -> DayBack:
    own = economics[day.record.market, day.record.item]
    left = _left(day)
    turned_away = float(missed.mean[at])
    return DayBack(
        record=day.record,
        sold=day.sold,
        usual=float(missed.usual[at]),
        exposure=float(missed.exposure[at]),
        turned_away=turned_away,
        turned_away_range=_range(turned_away, float(missed.variance[at])),
        lost=turned_away * margin,
        left=left,
        compost=None if left is None else _wasted(day, left) * max(own.unit_cost - own.leftover_value, 0.0),
        marks=_marks(day, float(missed.weight[at])),
    )


def _marks(day: DaySeen, weight: float) -> tuple[str, ...]:
    marks: list[str] = []
    if day.sold is None:
        marks.append("sold not known")
    if day.is_untimed:
        marks.append("time unknown")
    elif day.ran_out and weight < TELLS_LITTLE:
        marks.append("gone at once")
    if day.last < 1.0:
        marks.append("left early")
    if day.unaccounted != 0:
        marks.append("does not balance")
    return tuple(marks)


def _range(mean: float, variance: float) -> Range:
    """80 % range of a figure that cannot be negative (log-normal with the same mean and variance)."""
    if mean <= 1e-9:
        return Range(0.0, 0.0, 0.0)
    spread = float(np.log1p(variance / mean**2))
    centre, reach = float(np.log(mean)) - spread / 2, NORMAL_90 * float(np.sqrt(spread))
    return Range(mean, float(np.exp(centre - reach)), float(np.exp(centre + reach)))


def _sum(
    learned: Learned, seen: list[DayBack], days: list[DaySeen], missed: _Missed, rows: list[int], margin: FloatArray
) -> Sum:
    at = np.array(rows, dtype=np.int64)
    compost = sum(day.compost or 0.0 for day in seen)
    return Sum(
        days=len(rows),
        ran_out=sum(day.ran_out for day in days),
        untimed=sum(day.is_untimed for day in days),
        left_unknown=sum(day.left is None for day in seen),
        turned_away=_summed(learned, days, missed, at, np.ones(at.size)),
        lost=_summed(learned, days, missed, at, margin[at]),
        left=sum(day.left or 0 for day in seen),
        compost=Range(compost, compost, compost),
    )


def _summed(learned: Learned, days: list[DaySeen], missed: _Missed, at: np.ndarray, worth: FloatArray) -> Range:
    """Worth × turned away over the rows `at`, which are `days`."""
    mean = float(np.sum(worth * missed.mean[at]))
    if mean <= 0:
        return Range(0.0, 0.0, 0.0)
    own_part = float(np.sum(worth**2 * missed.variance[at]))
    pull, lean = worth * missed.slope[at], worth[:, None] * missed.lean[at]
    shared = _variance_of_means(learned, days, pull) + _variance_of_crowds(learned, days, pull, lean)
    return _range(mean, own_part + shared + never_known(days, worth * missed.mean[at]))


def _variance_of_crowds(learned: Learned, days: list[DaySeen], pull: FloatArray, lean: FloatArray) -> float:
    """What not knowing when the customers come adds to the variance of the sum."""
    if learned.fit is None:
        return 0.0
    markets = learned.layout.markets
    at = {name: index for index, name in enumerate(markets)}
    slope = np.zeros(len(markets) * (BINS + 1))
    for row, day in enumerate(days):
        market = at.get(day.record.market)
        if market is not None:
            slope[market * BINS : (market + 1) * BINS] += lean[row]
            slope[len(markets) * BINS + market] += pull[row]
    return max(float(slope @ learned.fit.crowd_covariance @ slope), 0.0)


def _variance_of_means(learned: Learned, days: list[DaySeen], pull: FloatArray) -> float:
    """Variance of the sum of pull × log mean over the days."""
    fit, layout = learned.fit, learned.layout
    if not days:
        return 0.0
    if fit is None:
        by_item: dict[str, float] = {}
        for day, own_pull in zip(days, pull, strict=True):
            by_item[day.record.item] = by_item.get(day.record.item, 0.0) + float(own_pull)
        return sum((total * learned.simple.sd.get(item, 0.7)) ** 2 for item, total in by_item.items())
    own, shared = columns([cell_of(day, layout) for day in days], layout)
    at = {name: index for index, name in enumerate(layout.items)}
    rest, total = pull @ shared, 0.0
    gathered: dict[int, FloatArray] = {}
    for row, day in enumerate(days):
        item = at.get(day.record.item)
        if item is not None:
            gathered[item] = gathered.get(item, np.zeros(own.shape[1])) + pull[row] * own[row]
    for item, part in sorted(gathered.items()):
        total += float(part @ fit.covariance.own[item] @ part)
        rest = rest - part @ fit.covariance.link[item]
    total += float(rest @ fit.covariance.shared @ rest)
    return total


__all__ = ["DayBack", "Economics", "LookingBack", "Range", "Sum", "looking_back"]
