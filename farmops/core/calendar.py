"""Days and ISO weeks: a week belongs to its ISO year, and a plan is copied by whole weeks."""

from dataclasses import dataclass
from datetime import date, timedelta

MonthDay = tuple[int, int]

WEEK = timedelta(days=7)
COPY = timedelta(weeks=52)  # keeps the weekday; a calendar year does not


@dataclass(frozen=True, slots=True, order=True)
class Week:
    """An ISO 8601 week.

    Attributes
    ----------
    year : int
        ISO year: 1 January 2027 lies in week 53 of 2026.
    number : int in 1..53
    """

    year: int
    number: int

    def __post_init__(self) -> None:
        if not 1 <= self.number <= weeks_in(self.year):
            raise ValueError(f"{self.year} has weeks 1 to {weeks_in(self.year)}, got {self.number}")

    def __str__(self) -> str:
        return f"{self.year}-W{self.number:02d}"

    @property
    def monday(self) -> date:
        return date.fromisocalendar(self.year, self.number, 1)


def weeks_in(year: int) -> int:
    """Number of ISO weeks of an ISO year: 52 or 53 (28 December always lies in the last one)."""
    return date(year, 12, 28).isocalendar().week


def week_of(day: date) -> Week:
    """The ISO week a day lies in."""
    year, number, _ = day.isocalendar()
    return Week(year, number)


def monday_of(day: date) -> date:
    """First day of the ISO week a day lies in."""
    return day - timedelta(days=day.weekday())


def copied_day(day: date, years: int = 1) -> date:
    """The same weekday 52 weeks a year later (earlier, if `years` is negative)."""
    return day + COPY * years


def copied_week(week: Week, year: int) -> tuple[Week, ...]:
    """The week of another ISO year with the same number.

    Returns
    -------
    tuple of Week
        One week; or, for week 53 and a year without one, the two it could go to: the last of that year and the
        first of the next. Which one is the grower's choice.
    """
    if week.number <= weeks_in(year):
        return (Week(year, week.number),)
    return (Week(year, weeks_in(year)), Week(year + 1, 1))


def day_of_year(day: date) -> int:
    """1 for 1 January; 7 October is 280, and 281 in a leap year."""
    return day.timetuple().tm_yday


def in_year(month_day: MonthDay, year: int) -> date:
    """A day of every year in one year; 29 February is 1 March where there is none.

    Raises
    ------
    ValueError
        If there is no such day in any year.
    """
    month, day = month_day
    date(2028, month, day)
    if month_day == (2, 29):
        return date(year, 2, 28) + timedelta(days=1)
    return date(year, month, day)


def lies_within(day: date, first: MonthDay, last: MonthDay) -> bool:
    """Whether a day lies in a part of every year, both ends counted; the part may reach over the new year."""
    here = (day.month, day.day)
    return first <= here <= last if first <= last else here >= first or here <= last
