"""How long plants take: days of a stage for the day it begins, slowed by light and the dark weeks, as a range.

A stage's `days` were noted for one date of entering. Every day since entering counts as so much of a day as its light
bears to the light of that date, raised to the stage's response; in the dark weeks no more than the farm's dark pace,
unless lamps make the days long. The stage is over when the counted days reach what it needs. A farm's own table of
days by date says all this itself.
What the farm's own plantings say (core.own_days) divides each day by a factor, which may differ through the year.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from farmops.core.calendar import MonthDay, day_of_year, in_year
from farmops.core.light import DARK_HOURS, Cover, day_length, light_of, light_under, on_day

LONGEST = 730  # days; a stage that takes longer does not end
# Spread of plantings about their variety's pace, and of varieties about their schedule: a planting's days vary by
# about a tenth (as the sizing method's trials assume), what a grower wrote down by about a sixth (our assumption).
PLANTING_SPREAD = 0.10
SCHEDULE_SPREAD = 0.15
NORMAL_80 = 1.2815515655446004  # the middle 80 % of a normal distribution reaches so many spreads to each side
YEAR = 366  # days, as numbered in a leap year at most

Factor = float | tuple[float, ...]  # on days: one, or one for each day of the year from 1 January (366 of them)


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
    cover : Cover or None
        Shade and lamps where it stands; the days were noted under them. None: open sky, or the same all year.
    """

    days: float
    noted_at: MonthDay = (3, 20)
    response: float = 0.0
    by_date: tuple[tuple[MonthDay, float], ...] = ()
    cover: Cover | None = None

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
        noted = in_year(need.noted_at, day.year)
        here, usual = (_light(need, place, at) for at in (day, noted))
        speed = (max(here, 0.01) / max(usual, 0.01)) ** need.response
    return min(speed, place.dark_pace) if place.dark_pace < 1.0 and is_dark_for(need, place, day) else speed


def _light(need: Need, place: Place, day: date) -> float:
    return light_of(place.latitude, day) if need.cover is None else light_under(place.latitude, need.cover, day)


def is_dark_for(need: Need, place: Place, day: date) -> bool:
    """Whether a day lies in the dark weeks and no lamps lengthen it to ten hours (they burn before or after it)."""
    if not place.is_dark(day):
        return False
    lamps = on_day(need.cover.lamp_hours, day) if need.cover is not None and need.cover.lamp_light > 0.0 else 0.0
    return lamps == 0.0 or day_length(place.latitude, day) + lamps < DARK_HOURS


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


def days_needed(need: Need, place: Place, entered: date, factor: Factor = 1.0) -> float:
    """Days from entering until the stage is over.

    Parameters
    ----------
    need : Need
    place : Place
    entered : date
        Its whole day counts.
    factor : Factor, > 0
        This variety's or planting's own slowness: 1.1 needs a tenth more. By day of the year: a day of 1.1 counts
        for a tenth less than that. [-]

    Returns
    -------
    float
        With its part of a day. [d]

    Raises
    ------
    ValueError
        If the factor is not above 0.
    """
    by_day = () if isinstance(factor, float | int) else factor
    once = 1.0 if isinstance(factor, tuple) else factor
    if not (math.isfinite(once) and once > 0):
        raise ValueError(f"factor must be above 0, got {factor}")
    if need.by_date and not by_day:
        return days_from_table(need.by_date, entered) * once
    left = days_from_table(need.by_date, entered) if need.by_date else need.days * once
    year, at = entered.year, day_of_year(entered) - 1
    paces = _paces_of(need, place, year)
    for number in range(LONGEST):
        if at == len(paces):
            year, at = year + 1, 0
            paces = _paces_of(need, place, year)
        counts = paces[at] / by_day[at] if by_day else paces[at]
        if counts >= left:
            return number + left / counts
        left -= counts
        at += 1
    return float(LONGEST)


@lru_cache(maxsize=1024)
def _paces_of(need: Need, place: Place, year: int) -> tuple[float, ...]:
    """How much each day of a year counts for; by the farm's own table all days count alike."""
    first = date(year, 1, 1)
    days = (first + timedelta(days=number) for number in range((date(year + 1, 1, 1) - first).days))
    return tuple(1.0 if need.by_date else pace(need, place, day) for day in days)


def over_on(need: Need, place: Place, entered: date, factor: Factor = 1.0) -> date:
    """First day on which the stage is over: ready, or due to move. Arguments and errors as for `days_needed`."""
    return entered + timedelta(days=math.ceil(days_needed(need, place, entered, factor) - 1e-9))


def last_entry_for(need: Need, place: Place, wanted: date, earliest: date, factor: Factor = 1.0) -> date | None:
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
    log_means, log_spreads : (1,) or (knots,) tuple of float
        Of the variety's usual factor, what is known of it: the year round, or at days evenly spread over the year,
        the first of them 1 January; straight lines between. [-]
    plantings : int
        Own plantings it was learned from.
    spread : float, > 0
        Of single plantings about the variety's usual. [-]
    before : Slowness or None
        Of the stages before the last, as the farm moves plants on; None: as of the last.
    """

    log_means: tuple[float, ...] = (0.0,)
    log_spreads: tuple[float, ...] = (SCHEDULE_SPREAD,)
    plantings: int = 0
    spread: float = PLANTING_SPREAD
    before: "Slowness | None" = None

    @property
    def factor(self) -> Factor:
        return self.at(0.0)

    def at(self, spreads: float) -> Factor:
        """The factor that lies so many spreads above the usual one, of knowing and of plantings together."""
        return _through_the_year(self.log_means, self.log_spreads, self.spread, spreads)

    def factors(self, stages: int, spreads: float = 0.0) -> tuple[Factor, ...]:
        """As `at`, for each of the last so many stages in turn."""
        before = (self.before or self).at(spreads)
        return (before,) * (stages - 1) + (self.at(spreads),)

    def factor_on(self, day: date) -> float:
        """The usual factor of one day."""
        factor = self.factor
        return factor[day_of_year(day) - 1] if isinstance(factor, tuple) else factor


@lru_cache(maxsize=4096)
def _through_the_year(means: tuple[float, ...], known: tuple[float, ...], single: float, spreads: float) -> Factor:
    logs = [mean + spreads * math.hypot(spread, single) for mean, spread in zip(means, known, strict=True)]
    if len(logs) == 1:
        return math.exp(logs[0])
    found = []
    for day in range(YEAR):
        at = day * len(logs) / YEAR
        left = int(at)
        share = at - left
        found.append(math.exp(logs[left] * (1.0 - share) + logs[(left + 1) % len(logs)] * share))
    return tuple(found)


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
        The last stage comes last.
    place : Place
    entered : date
    own : Slowness or None
        None: the schedule as it is, with its spread.

    Returns
    -------
    (stages,) tuple of Span
    """
    own = own or Slowness()
    low, usual, high = (
        _ends(needs, place, entered, own.factors(len(needs), spreads)) for spreads in (-NORMAL_80, 0.0, NORMAL_80)
    )
    return tuple(
        # Over in the course of a day is over on the next; of the range, half of all parts of a day are cut off.
        Span(min(at + timedelta(days=round(early) + 1), end), end, max(until + timedelta(days=round(late)), end))
        for (at, early), (since, days), (until, late) in zip(low, usual, high, strict=True)
        for end in (since + timedelta(days=math.ceil(days - 1e-9)),)
    )


def _ends(needs: Sequence[Need], place: Place, entered: date, factors: Sequence[Factor]) -> list[tuple[date, float]]:
    """For each stage the day it is entered and the days it takes."""
    found = []
    for need, factor in zip(needs, factors, strict=True):
        days = days_needed(need, place, entered, factor)
        found.append((entered, days))
        entered += timedelta(days=math.ceil(days - 1e-9))
    return found
