"""What a farm's own plantings say about the days a schedule gives: pooled towards it, variety by variety, by season.

Every planting tells between which days its stage was over. The logarithm of real over scheduled days is taken as the
mean, over the days it grew, of a course through the year that belongs to the variety, and what is its own. A variety's
course lies about the farm's, the farm's about the schedule: few plantings move little, many move much, and what is
slow in autumn alone is learned of autumn alone.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import numpy as np
import numpy.typing as npt

from farmops.core.calendar import day_of_year
from farmops.core.growth import LONGEST, PLANTING_SPREAD, SCHEDULE_SPREAD, YEAR, Slowness

Floats = npt.NDArray[np.float64]

KNOTS = 26  # of a course through the year: one a fortnight
# Spreads of the logarithm of days: of a farm about its schedules and of a variety about its farm, the year round and
# by season. Their squares add up to that of what a schedule is usually wrong by (core.growth); how they share it, and
# how far a season reaches, is our assumption: a month, over which light and weather change together.
FARM_SPREAD, FARM_SEASON, VARIETY_SPREAD = 0.06, 0.05, 0.08
VARIETY_SEASON = math.sqrt(SCHEDULE_SPREAD**2 - FARM_SPREAD**2 - FARM_SEASON**2 - VARIETY_SPREAD**2)
SEASON_REACH = 30.0  # days
SPREAD_TOLD = 5.0  # plantings that the assumed spread of single plantings counts for
ROUNDS = 12


@dataclass(frozen=True, slots=True)
class Measured:
    """When one planting's stage, or its stages before the last, were over.

    Attributes
    ----------
    variety : str
    entered : date
    scheduled : float, > 0
        Days by the schedule, for that date. [d]
    after, until : float
        It was not over so many days after entering, and was over then; 0 and infinity where nobody saw. [d]
    since : float in [after, until]
        Had it been over by then, it would have been seen, but for `chance`. [d]
    chance : float in [0, 1]
        Of being seen no earlier than it was, had it been over by `since`, against having ended later. [-]
    """

    variety: str
    entered: date
    scheduled: float
    after: float
    until: float
    since: float = 0.0
    chance: float = 1.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.scheduled) and self.scheduled > 0):
            raise ValueError(f"scheduled days must be above 0, got {self.scheduled}")
        if not 0.0 <= self.after < self.until:
            raise ValueError(f"a stage is over after some day and until a later one, got {self.after} and {self.until}")
        if not 0.0 <= self.chance <= 1.0:
            raise ValueError(f"a chance must be from 0 to 1, got {self.chance}")


def learn(measured: Sequence[Measured], varieties: Iterable[str] = ()) -> dict[str, Slowness]:
    """Pool the schedules with the farm's own plantings.

    Parameters
    ----------
    measured : sequence of Measured
    varieties : iterable of str
        Those without plantings of their own, to be told what the farm's others say.

    Returns
    -------
    dict of variety to Slowness

    Notes
    -----
    Normal priors on courses through the year (variety about farm about schedule, a Gaussian process at `KNOTS` days of
    the year [1]_), and days known between limits, or on one side only, as in the Tobit model [2]_: by Newton's method,
    which finds the one greatest posterior density, and the spread of single plantings by expectation and maximisation
    beside it. A planting known on one side weighs as much as it narrows.

    References
    ----------
    .. [1] C. E. Rasmussen, C. K. I. Williams, "Gaussian Processes for Machine Learning", MIT Press, 2006, ch. 2.
    .. [2] J. Tobin, "Estimation of relationships for limited dependent variables", Econometrica 26, 1958.
    """
    names = sorted({one.variety for one in measured} | set(varieties))
    if not names:
        return {}
    rows = [[at for at, one in enumerate(measured) if one.variety == name] for name in names]
    limits = np.array([_log_limits(one) for one in measured]).reshape(-1, 3)
    courses = np.array([_days_grown(one) for one in measured]).reshape(-1, KNOTS)
    chances = np.array([one.chance for one in measured])
    fitted, spread = _fit(courses, limits, chances, rows)
    return {
        name: Slowness(
            tuple(float(at) for at in mean),
            tuple(float(at) for at in np.sqrt(np.diag(known))),
            len(of_variety),
            spread,
        )
        for name, of_variety, (mean, known) in zip(names, rows, fitted, strict=True)
    }


def with_stages_before(last: Mapping[str, Slowness], before: Mapping[str, Slowness]) -> dict[str, Slowness]:
    """What was learned of last stages, beside what was learned of the stages before them."""
    return {name: replace(own, before=before.get(name)) for name, own in last.items()}


def _log_limits(one: Measured) -> tuple[float, ...]:
    """Logarithms of `after`, `since` and `until` over the scheduled days."""
    since = min(max(one.since, one.after), one.until)
    days = (one.after, since, one.until)
    logs = (math.log(at / one.scheduled) if 0.0 < at < math.inf else math.copysign(math.inf, at - 1.0) for at in days)
    return tuple(logs)


def _days_grown(one: Measured) -> Floats:
    """How much each knot has to say about the days from entering to the end."""
    took = one.until if math.isfinite(one.until) else max(one.after, one.scheduled)
    if one.after == 0.0:
        took = min(took, one.scheduled)
    days = min(max(1, round(took)), LONGEST)
    up_to = _up_to_day(day_of_year(date(one.entered.year, 12, 31)))
    first = day_of_year(one.entered) - 1
    return np.asarray((up_to[first + days] - up_to[first]) / days, dtype=np.float64)


@cache
def _up_to_day(year: int) -> Floats:
    """What each knot has to say about all days before a day, from 1 January on: (days, knots)."""
    at = (np.arange(YEAR + LONGEST) % year) * (KNOTS / YEAR)
    left = np.floor(at).astype(np.int64)
    shares = np.zeros((len(at) + 1, KNOTS))
    shares[np.arange(1, len(at) + 1), left % KNOTS] += left + 1.0 - at
    shares[np.arange(1, len(at) + 1), (left + 1) % KNOTS] += at - left
    return np.cumsum(shares, axis=0)


def _likeness(always: float, season: float) -> Floats:
    """Covariance of a course at its knots: the same the year round, and alike within a season."""
    apart = np.abs(np.subtract.outer(np.arange(KNOTS), np.arange(KNOTS)))
    days = np.minimum(apart, KNOTS - apart) * (YEAR / KNOTS)
    return np.asarray(always**2 + season**2 * np.exp(-0.5 * (days / SEASON_REACH) ** 2), dtype=np.float64)


def _fit(
    courses: Floats, limits: Floats, chances: Floats, rows: Sequence[Sequence[int]]
) -> tuple[list[tuple[Floats, Floats]], float]:
    """Mean and covariance of each variety's course, and the spread of single plantings."""
    single, apart = PLANTING_SPREAD, len(limits) * PLANTING_SPREAD**2
    usual = np.zeros(len(limits))
    fitted: list[tuple[Floats, Floats]] = []
    for _round in range(ROUNDS):
        single = math.sqrt((SPREAD_TOLD * PLANTING_SPREAD**2 + apart) / (SPREAD_TOLD + len(limits)))
        expected, left_open = _seen(limits, chances, usual, single)
        weights = np.maximum(0.0, 1.0 - left_open / single**2) / single**2
        pulls = weights * usual + (expected - usual) / single**2
        fitted = _pool(courses, weights, pulls, rows)
        known = np.zeros(len(limits))
        for of_variety, (mean, covariance) in zip(rows, fitted, strict=True):
            seen = courses[of_variety]
            usual[of_variety] = seen @ mean
            known[of_variety] = np.sum(seen @ covariance * seen, axis=1)
        apart = float(np.sum((expected - usual) ** 2 + left_open + known))
    return fitted, single


def _seen(limits: Floats, chances: Floats, usual: Floats, single: float) -> tuple[Floats, Floats]:
    """Mean and variance of each logarithm, from what was seen of it."""
    early = _between(limits[:, 0], limits[:, 1], usual, single)
    late = _between(limits[:, 1], limits[:, 2], usual, single)
    parts = np.array([early[0] * chances, late[0]])
    total = parts.sum(axis=0)
    shares = np.where(total > 0, parts / np.where(total > 0, total, 1.0), [[0.0], [1.0]])
    mean = shares[0] * early[1] + shares[1] * late[1]
    squares = shares[0] * (early[2] + early[1] ** 2) + shares[1] * (late[2] + late[1] ** 2)
    return mean, np.maximum(squares - mean**2, 0.0)


def _between(low: Floats, high: Floats, usual: Floats, single: float) -> tuple[Floats, Floats, Floats]:
    """Share, mean and variance of normal logarithms between two limits."""
    low, high = (low - usual) / single, (high - usual) / single
    # From the side on which both limits lie, so that a far tail keeps its digits.
    turned = low > 0
    low, high = np.where(turned, -high, low), np.where(turned, -low, high)
    inside = _below(high) - _below(low)
    at_low, at_high = (np.exp(-0.5 * at**2) / math.sqrt(2.0 * math.pi) for at in (low, high))
    far = inside < 1e-12
    whole = np.where(far, 1.0, inside)
    shift = (at_low - at_high) / whole
    edge = np.where(np.isfinite(low), low, 0.0) * at_low - np.where(np.isfinite(high), high, 0.0) * at_high
    left_open = np.clip(1.0 + edge / whole - shift**2, 0.0, 1.0)
    nearest = np.where(np.isfinite(high), high, 0.0)
    shift, left_open = np.where(far, nearest, shift), np.where(far, 0.0, left_open)
    return np.maximum(inside, 0.0), usual + single * np.where(turned, -shift, shift), single**2 * left_open


def _below(at: Floats) -> Floats:
    """Share of a standard normal below each."""
    return np.array([0.5 * math.erfc(-one / math.sqrt(2.0)) for one in at])


def _pool(
    courses: Floats, weights: Floats, pulls: Floats, rows: Sequence[Sequence[int]]
) -> list[tuple[Floats, Floats]]:
    """Mean and covariance of each variety's course about the farm's; matrices that may be singular are not inverted."""
    of_farm, of_variety = _likeness(FARM_SPREAD, FARM_SEASON), _likeness(VARIETY_SPREAD, VARIETY_SEASON)
    one = np.eye(KNOTS)
    told = np.array([courses[which].T @ (courses[which] * weights[which, None]) for which in rows])
    said = np.array([courses[which].T @ pulls[which] for which in rows])
    own = np.linalg.solve(one + of_variety @ told, np.broadcast_to(of_variety, told.shape))
    rest = one - told @ own
    farm_known = np.linalg.solve(one + of_farm @ np.sum(rest @ told, axis=0), of_farm)
    farm_mean = farm_known @ np.einsum("vij,vj->i", rest, said)
    shared = one - own @ told
    means = shared @ farm_mean + np.einsum("vij,vj->vi", own, said)
    return list(zip(means, own + shared @ farm_known @ shared.transpose(0, 2, 1), strict=True))
