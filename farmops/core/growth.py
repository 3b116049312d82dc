"""How long plants take: days of a stage for the day it begins, slowed by light and the dark weeks, as a range.

A stage's `days` were noted for one date of entering. Every day since entering counts as so much of a day as its light
bears to the light of that date, raised to the stage's response; in the dark weeks no more than the farm's dark pace.
The stage is over when the counted days reach what it needs. A farm's own table of days by date says all this itself.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from farmops.core.calendar import MonthDay, in_year
from farmops.core.light import DARK_HOURS, day_length, light_of

LONGEST = 730  # days; a stage that takes longer does not end
# Spread of plantings about their variety's pace, and of varieties about their schedule: a planting's days vary by
# about a tenth (as the sizing method's trials assume), what a grower wrote down by about a sixth (our assumption).
PLANTING_SPREAD = 0.10
SCHEDULE_SPREAD = 0.15
NORMAL_80 = 1.2815515655446004  # the middle 80 % of a normal distribution reaches so many spreads to each side


@dataclass(frozen=True, slots=True)
class Place:
    """Where it grows.

    Attributes
    ----------
    latitude : float in [-90, 90]
        [°]
    dark_pace : float in (0, 1]
        Growth in the dark weeks against the usual; 1 where it is lit or heated. [-]
    dark_first, dark_end : (month, day) or None
        First day of the dark weeks, and first day after them; None: while days are under ten hours.
    """

    latitude: float
    dark_pace: float = 0.5
    dark_first: MonthDay | None = None
    dark_end: MonthDay | None = None

    def __post_init__(self) -> None:
        if not -90.0 <= self.latitude <= 90.0:
            raise ValueError(f"latitude must be from -90 to 90 degrees, got {self.latitude}")
        if not 0.0 < self.dark_pace <= 1.0:
            raise ValueError(f"pace in the dark weeks must be above 0 and at most 1, got {self.dark_pace}")

    def is_dark(self, day: date) -> bool:
        """Whether a day lies in the dark weeks."""
        if self.dark_first is None or self.dark_end is None:
            return day_length(self.latitude, day) < DARK_HOURS
        here = (day.month, day.day)
        if self.dark_first <= self.dark_end:
            return self.dark_first <= here < self.dark_end
        return here >= self.dark_first or here < self.dark_end


@dataclass(frozen=True, slots=True)
class Need:
    """What one stage, or the regrowth between two cuttings, needs.

    Attributes
    ----------
    days : float, > 0
        Noted for entering at `noted_at`. [d]
    noted_at : (month, day)
    response : float in [0, 1]
        0: light does not matter; 1: half the light, twice the days. [-]
    by_date : tuple of ((month, day), days)
        The farm's own table, straight lines between and around the year; replaces all of the above.
    """

    days: float
    noted_at: MonthDay = (3, 20)
    response: float = 0.0
    by_date: tuple[tuple[MonthDay, float], ...] = ()

    def __post_init__(self) -> None:
        if not (math.isfinite(self.days) and self.days > 0) or any(days <= 0 for _when, days in self.by_date):
            raise ValueError(f"days must be above 0, got {self.days} and {self.by_date}")
        if not 0.0 <= self.response <= 1.0:
            raise ValueError(f"response to light must be from 0 to 1, got {self.response}")


def pace(need: Need, place: Place, day: date) -> float:
    """How much of a usual day one day counts for.

    Parameters
    ----------
    need : Need
    place : Place
    day : date

    Returns
    -------
    float, > 0
        1 on the day the need was noted at; at most the place's dark pace in the dark weeks. [-]
    """
    speed = 1.0
    if need.response > 0.0:
        usual = light_of(place.latitude, in_year(need.noted_at, day.year))
        speed = (max(light_of(place.latitude, day), 0.01) / max(usual, 0.01)) ** need.response
    return min(speed, place.dark_pace) if place.dark_pace < 1.0 and place.is_dark(day) else speed


def days_from_table(table: Sequence[tuple[MonthDay, float]], day: date) -> float:
    """Days for a date of entering from a table by date, straight lines between, also over the new year.

    Parameters
    ----------
    table : sequence of ((month, day), days), at least one
        In any order. [d]
    day : date
        Of entering.

    Returns
    -------
    float
        [d]
    """
    points = sorted(
        (in_year(month_day, year).toordinal(), days)
        for month_day, days in table
        for year in (day.year - 1, day.year, day.year + 1)
    )
    here = day.toordinal()
    before = next(point for point in reversed(points) if point[0] <= here)
    after = next(point for point in points if point[0] >= here)
    if after[0] == before[0]:
        return before[1]
    return before[1] + (after[1] - before[1]) * (here - before[0]) / (after[0] - before[0])


def days_needed(need: Need, place: Place, entered: date, factor: float = 1.0) -> float:
    """Days from entering until the stage is over.

    Parameters
    ----------
    need : Need
    place : Place
    entered : date
        Its whole day counts.
    factor : float, > 0
        This variety's or planting's own slowness: 1.1 needs a tenth more. [-]

    Returns
    -------
    float
        With its part of a day. [d]

    Raises
    ------
    ValueError
        If the factor is not above 0.
    """
    if not (math.isfinite(factor) and factor > 0):
        raise ValueError(f"factor must be above 0, got {factor}")
    if need.by_date:
        return days_from_table(need.by_date, entered) * factor
    left = need.days * factor
    for number in range(LONGEST):
        counts = pace(need, place, entered + timedelta(days=number))
        if counts >= left:
            return number + left / counts
        left -= counts
    return float(LONGEST)


def over_on(need: Need, place: Place, entered: date, factor: float = 1.0) -> date:
    """First day on which the stage is over: ready, or due to move. Arguments and errors as for `days_needed`."""
    return entered + timedelta(days=math.ceil(days_needed(need, place, entered, factor) - 1e-9))


def last_entry_for(need: Need, place: Place, wanted: date, earliest: date, factor: float = 1.0) -> date | None:
    """Latest day of entering for which the stage is over on or before `wanted`; None if not even `earliest` will do.

    Other arguments and errors as for `days_needed`.
    """
    for number in range((wanted - earliest).days, -1, -1):
        entered = earliest + timedelta(days=number)
        if over_on(need, place, entered, factor) <= wanted:
            return entered
    return None


def entry_interval(need: Need, place: Place, entered: date, harvest_gap: float = 7.0) -> float:
    """Days between two entries around a date for harvests `harvest_gap` days apart: shorter as days grow longer. [d]

    Raises
    ------
    ValueError
        If a later entry would be ready no later (then one harvest covers both).
    """
    week = timedelta(days=7)
    slope = (days_needed(need, place, entered + week) - days_needed(need, place, entered)) / 7.0
    if slope <= -1.0:
        raise ValueError(f"around {entered} a later entry is ready no later")
    return harvest_gap / (1.0 + slope)


@dataclass(frozen=True, slots=True)
class Slowness:
    """What a farm's own plantings say about a variety against its schedule, as a factor on days.

    Attributes
    ----------
    log_mean, log_spread : float
        Of the variety's usual factor, what is known of it. [-]
    plantings : int
        Own plantings it was learned from.
    """

    log_mean: float = 0.0
    log_spread: float = SCHEDULE_SPREAD
    plantings: int = 0

    @property
    def factor(self) -> float:
        return math.exp(self.log_mean)

    @property
    def low(self) -> float:
        """Factor that one planting in ten stays under."""
        return math.exp(self.log_mean - NORMAL_80 * math.hypot(self.log_spread, PLANTING_SPREAD))

    @property
    def high(self) -> float:
        """Factor that one planting in ten goes over."""
        return math.exp(self.log_mean + NORMAL_80 * math.hypot(self.log_spread, PLANTING_SPREAD))


def slowness(
    ratios: Iterable[float], prior_spread: float = SCHEDULE_SPREAD, planting_spread: float = PLANTING_SPREAD
) -> Slowness:
    """Pool a variety's schedule with its own plantings.

    Parameters
    ----------
    ratios : iterable of float, > 0
        For each planting, days it took over days the schedule said. [-]
    prior_spread, planting_spread : float, > 0
        Spread of the schedule's error, and of plantings about their variety. [-]

    Returns
    -------
    Slowness

    Notes
    -----
    Normal prior times normal likelihood on the logarithm of days: with n plantings of mean log ratio m the usual
    factor has precision 1/prior² + n/planting², and its mean is m weighted by the second term's share.
    """
    logs = [math.log(ratio) for ratio in ratios]
    precision = prior_spread**-2 + len(logs) * planting_spread**-2
    return Slowness(math.fsum(logs) * planting_spread**-2 / precision, precision**-0.5, len(logs))


@dataclass(frozen=True, slots=True)
class Span:
    """A day as a range: one planting in ten is earlier than `low`, one in ten later than `high`."""

    low: date
    usual: date
    high: date


def through_stages(needs: Sequence[Need], place: Place, entered: date, own: Slowness | None = None) -> tuple[Span, ...]:
    """The end of each stage in turn, from the day the first is entered.

    Parameters
    ----------
    needs : (stages,) sequence of Need
    place : Place
    entered : date
    own : Slowness or None
        None: the schedule as it is, with its spread.

    Returns
    -------
    (stages,) tuple of Span
    """
    own = own or Slowness()
    ends: list[list[date]] = []
    for factor in (own.low, own.factor, own.high):
        day, days = entered, []
        for need in needs:
            day = over_on(need, place, day, factor)
            days.append(day)
        ends.append(days)
    return tuple(Span(*triple) for triple in zip(*ends, strict=True))
