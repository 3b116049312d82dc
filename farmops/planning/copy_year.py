"""What of one year can be copied into the next: market days and boxes, 52 weeks on and so on the same weekday.

Nothing that is planned already is doubled. A day that would fall on a closed one is named instead of copied, and so is
a holiday of the year before; a rest of more than a week is carried on, and so is a season that ends.
"""

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _

from farmops.core.calendar import WEEK, Week, copied_day, monday_of, week_of, weeks_in
from farmops.farm.models import ClosedDays, Farm
from farmops.farm.unit_words import unit_of_many
from farmops.growing.natural_order import natural_key
from farmops.selling.market_dates import OpenDays, days_between
from farmops.selling.models import BoxCount, MarketDay, Outlet, OutletClosedDays, StandingOrder
from farmops.selling.typed_stock import in_figures

DAY = timedelta(days=1)
A_REST = 8  # days: fewer are a holiday, which falls elsewhere next year
LAST, FIRST = "last", "first"  # where week 53 goes: the last week of the year, or the first of the one after
Span = tuple[date, date]


@dataclass(frozen=True, slots=True)
class CopiedDay:
    """A market day to be planned, and the one it is copied from; `source` is None where that is not on the list."""

    outlet: Outlet
    from_on: date
    held_on: date
    source: MarketDay | None


@dataclass(frozen=True, slots=True)
class CopiedBoxes:
    """A box count to be planned for the weeks from one Monday to another."""

    count: BoxCount
    first_week: date
    last_week: date


@dataclass(frozen=True, slots=True)
class Rest:
    """Closed days; of the whole farm where there is no outlet."""

    outlet: Outlet | None
    first_on: date
    last_on: date
    reason: str


@dataclass(frozen=True, slots=True)
class SeasonOn:
    """A season that goes on until the same weekday a year later; the farm's where there is no outlet."""

    outlet: Outlet | None
    was: date
    last_on: date


@dataclass(frozen=True, slots=True)
class Ending:
    """A standing order that ends, and the days the same would begin and end on a year later."""

    order: StandingOrder
    first_on: date
    last_on: date

    @property
    def amount(self) -> str:
        return in_figures(self.order.amount, self.order.item.unit)

    @property
    def words(self) -> str:
        """The amount with its unit: 1 bag, 12 bags."""
        unit = self.order.item.unit
        return f"{self.amount} {unit if self.amount == '1' else unit_of_many(unit)}"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What is not copied: whose, the day of the year before, the day it would have fallen on (if any), and why."""

    name: str
    from_on: date
    to_on: date | None
    why: str


@dataclass(frozen=True, slots=True)
class YearCopy:
    """What a press would write, and what it would not.

    Attributes
    ----------
    source, year : int
        ISO years.
    left_out : tuple of LeftOut
    holidays : tuple of Rest
        Closed a year before and open at the copied days, so far; `first_on`, `last_on` are the days to come.
    there : int
        Market days that are planned already.
    boxes_there : int
        Weeks of box sizes whose contents are planned already.
    gone : int
        Market days that would fall before today.
    ending : tuple of Ending
        Orders that end within the year before and that nothing follows yet.
    """

    source: int
    year: int
    days: tuple[CopiedDay, ...]
    boxes: tuple[CopiedBoxes, ...]
    seasons: tuple[SeasonOn, ...]
    rests: tuple[Rest, ...]
    left_out: tuple[LeftOut, ...]
    holidays: tuple[Rest, ...]
    there: int
    boxes_there: int
    gone: int
    ending: tuple[Ending, ...]

    @property
    def has_week_53(self) -> bool:
        """Whether the year before has a week that this one may lack."""
        return weeks_in(self.source) == 53

    @property
    def is_anything(self) -> bool:
        return bool(self.days or self.boxes)


def span_of(year: int) -> Span:
    """First and last day of an ISO year."""
    return Week(year, 1).monday, Week(year + 1, 1).monday - DAY


def day_a_year_on(day: date, year: int, week_53: str = LAST) -> date | None:
    """Where a day of the ISO year before falls in a year, on its weekday; None for week 1 of a year of 53 weeks.

    Of a year with 53 weeks the second becomes the first. Its week 53 becomes the last week or, if that is chosen, the
    first of the year after.
    """
    if week_of(day).number == 53 and week_53 == FIRST:
        return day + 53 * WEEK
    there = copied_day(day)
    return there if week_of(there).year == year else None


def copy_of(year: int, today: date, week_53: str = LAST) -> YearCopy:
    """What can be copied into an ISO year from the one before. Seven queries."""
    return _Copying(year, today, week_53).all()


class _Copying:
    """The tables as they stand, asked once."""

    def __init__(self, year: int, today: date, week_53: str) -> None:
        self.year, self.today, self.week_53 = year, today, week_53
        self.source = span_of(year - 1)
        self.first, self.last = span_of(year)[0], span_of(year)[1] + WEEK
        self.farm = Farm.objects.first()
        self.outlets = sorted(Outlet.objects.all(), key=lambda one: (natural_key(one.name), one.pk))
        known = MarketDay.objects.filter(held_on__gte=self.source[0], held_on__lte=self.last, entry__corrected_by=None)
        self.known = {(one.outlet_id, one.held_on): one for one in known}
        self.closed = self._closed()
        self.seasons, gaps = self._seasons()
        self.rests = [*gaps, *self._rests(gaps)]
        self.left_out: list[LeftOut] = []

    def all(self) -> YearCopy:
        before = self._open_days(self.closed, {})
        after = self._open_days([*self.closed, *self.rests], {one.outlet: one.last_on for one in self.seasons})
        days, there, gone = self._days(before, after)
        boxes, boxes_there = self._boxes(after)
        return YearCopy(
            source=self.year - 1,
            year=self.year,
            days=tuple(days),
            boxes=tuple(boxes),
            seasons=tuple(self.seasons),
            rests=tuple(self.rests),
            left_out=tuple(self.left_out),
            holidays=tuple(self._holidays(after)),
            there=there,
            boxes_there=boxes_there,
            gone=gone,
            ending=tuple(self._ending()),
        )

    def _closed(self) -> list[Rest]:
        reach = {"first_on__lte": self.last, "last_on__gte": self.source[0]}
        whole = ClosedDays.objects.filter(**reach)
        own = OutletClosedDays.objects.filter(**reach)
        outlets = {one.pk: one for one in self.outlets}
        return [
            *(Rest(None, one.first_on, one.last_on, one.reason) for one in whole),
            *(
                Rest(outlets[one.outlet_id], one.first_on, one.last_on, one.reason)
                for one in own
                if one.outlet_id in outlets
            ),
        ]

    def _seasons(self) -> tuple[list[SeasonOn], list[Rest]]:
        """Seasons that end in the year before go on; between two of them it is closed."""
        found, gaps = [], []
        farm = (self.farm.season_first_on, self.farm.season_last_on) if self.farm else (None, None)
        for outlet, first, last in ((None, *farm), *((one, one.first_on, one.last_on) for one in self.outlets)):
            if first is None or last is None or not self.source[0] <= last <= self.source[1]:
                continue
            found.append(SeasonOn(outlet, last, copied_day(last)))
            if first >= self.source[0]:
                gaps += self._not_closed_yet(outlet, last + DAY, copied_day(first) - DAY, _("between two seasons"), [])
        return found, gaps

    def _rests(self, gaps: Sequence[Rest]) -> list[Rest]:
        """Rests of the year before, a year on, as far as it is not closed then already."""
        found: list[Rest] = []
        for one in self.closed:
            if (one.last_on - one.first_on).days + 1 >= A_REST and self._is_of_the_year_before(one):
                first, last = copied_day(one.first_on), copied_day(one.last_on)
                found += self._not_closed_yet(one.outlet, first, last, one.reason, [*gaps, *found])
        return found

    def _is_of_the_year_before(self, one: Rest) -> bool:
        return one.first_on <= self.source[1] and one.last_on >= self.source[0]

    def _not_closed_yet(
        self, outlet: Outlet | None, first: date, last: date, reason: str, besides: Sequence[Rest]
    ) -> list[Rest]:
        """The runs of days from today on that nothing closes yet."""
        whose = [one for one in (*self.closed, *besides) if one.outlet in (None, outlet)]
        days = [
            day
            for day in days_between(max(first, self.today), last)
            if not any(one.first_on <= day <= one.last_on for one in whose)
        ]
        return [Rest(outlet, run[0], run[-1], reason) for run in runs_of(days, DAY)]

    def _open_days(self, closed: Iterable[Rest], until: Mapping[Outlet | None, date]) -> "_Open":
        season = (self.farm.season_first_on, self.farm.season_last_on) if self.farm else (None, None)
        return _Open((season[0], until.get(None, season[1])), tuple(closed), until)

    def _days(self, before: "_Open", after: "_Open") -> tuple[list[CopiedDay], int, int]:
        days, there, gone = [], 0, 0
        for outlet in self.outlets:
            for from_on, source in self._held(outlet, before):
                to_on = day_a_year_on(from_on, self.year, self.week_53)
                if to_on is None:
                    self._leave_out(outlet.name, from_on, None, self._week_1())
                elif (outlet.pk, to_on) in self.known:
                    there += 1
                elif to_on < self.today:
                    gone += 1
                elif source is not None and source.status == MarketDay.Status.CALLED_OFF:
                    self._leave_out(outlet.name, from_on, to_on, _("called off"))
                elif why := after.why_closed(outlet, to_on):
                    self._leave_out(outlet.name, from_on, to_on, why)
                else:
                    days.append(CopiedDay(outlet, from_on, to_on, source))
        return sorted(days, key=lambda one: (one.held_on, natural_key(one.outlet.name))), there, gone

    def _held(self, outlet: Outlet, before: "_Open") -> list[tuple[date, MarketDay | None]]:
        """Market days of the year before: those on the list, and to come by the market's weekday."""
        found: dict[date, MarketDay | None] = {
            day: one
            for (whose, day), one in self.known.items()
            if whose == outlet.pk and self.source[0] <= day <= self.source[1]
        }
        if outlet.kind == Outlet.Kind.MARKET:
            for day in days_between(max(self.today, self.source[0]), self.source[1]):
                if day.weekday() == outlet.weekday and day not in found and not before.why_closed(outlet, day):
                    found[day] = None
        return sorted(found.items())

    def _boxes(self, after: "_Open") -> tuple[list[CopiedBoxes], int]:
        counts = list(BoxCount.objects.live().select_related("box", "item").order_by("pk"))
        planned = {
            (one.box_id, one.size, week)
            for one in counts
            for week in weeks_between(one, self.first, self.last)
            if one.boxes
        }
        copied, there = [], set()
        for one in counts:
            weeks = []
            for from_week in weeks_between(one, *self.source):
                to_week = day_a_year_on(from_week, self.year, self.week_53)
                if not one.boxes or (to_week is not None and to_week < monday_of(self.today)):
                    continue
                on = timedelta(days=one.box.weekday)
                if to_week is None:
                    self._leave_out(one.box.name, from_week + on, None, self._week_1())
                elif (one.box_id, one.size, to_week) in planned:
                    there.add((one.box_id, one.size, to_week))
                elif why := after.why_closed(one.box, to_week + on):
                    self._leave_out(one.box.name, from_week + on, to_week + on, why)
                else:
                    weeks.append(to_week)
            copied += [CopiedBoxes(one, run[0], run[-1]) for run in runs_of(weeks, WEEK)]
        return copied, len(there)

    def _ending(self) -> Iterable[Ending]:
        orders = list(StandingOrder.objects.live().select_related("buyer", "item"))
        orders.sort(key=lambda one: (natural_key(one.buyer.name), natural_key(one.item.name), one.weekday, one.pk))
        for one in orders:
            if one.last_on is None or not self.source[0] <= one.last_on <= self.source[1]:
                continue
            same = [two for two in orders if (two.buyer_id, two.item_id, two.weekday) == _whose(one)]
            last_on = copied_day(one.last_on)
            if last_on >= self.today and not any(two.last_on is None or two.last_on > one.last_on for two in same):
                first = one.first_on
                begins = copied_day(first) if first and first >= self.source[0] else one.last_on + DAY
                yield Ending(one, begins, last_on)

    def _leave_out(self, name: str, from_on: date, to_on: date | None, why: str) -> None:
        one = LeftOut(name, from_on, to_on, why)
        if one not in self.left_out:
            self.left_out.append(one)

    def _week_1(self) -> str:
        return _("52 weeks on is week 53 of %(year)d still") % {"year": self.year - 1}

    def _holidays(self, after: "_Open") -> list[Rest]:
        """Short closed times of the year before whose days, a year on, are open so far."""
        found = []
        for one in sorted(self.closed, key=lambda one: (one.first_on, one.last_on)):
            days = [copied_day(day) for day in days_between(one.first_on, one.last_on)]
            if len(days) < A_REST and self._is_of_the_year_before(one) and days[-1] >= self.today:
                for run in runs_of([day for day in days if not after.is_closed(one.outlet, day)], DAY):
                    found.append(Rest(one.outlet, run[0], run[-1], one.reason))
        return found


@dataclass(frozen=True, slots=True)
class _Open:
    """When outlets are open, with rests and seasons that are not in the tables yet."""

    season: tuple[date | None, date | None]
    closed: tuple[Rest, ...]
    until: Mapping[Outlet | None, date]

    def is_closed(self, outlet: Outlet | None, day: date) -> bool:
        return any(one.first_on <= day <= one.last_on for one in self.closed if one.outlet in (None, outlet))

    def why_closed(self, outlet: Outlet, day: date) -> str:
        """Why it is closed on a day; nothing where it is open."""
        for one in self.closed:
            if one.outlet in (None, outlet) and one.first_on <= day <= one.last_on:
                return _("closed: %(reason)s") % {"reason": one.reason} if one.reason else _("closed")
        lasting = copy(outlet)
        lasting.last_on = self.until.get(outlet, outlet.last_on)
        return "" if OpenDays(self.season, ()).is_open(lasting, day) else _("out of season")


def _whose(order: StandingOrder) -> tuple[int, int, int]:
    return order.buyer_id, order.item_id, order.weekday


def weeks_between(count: BoxCount, first: date, last: date) -> Iterable[date]:
    """Mondays of the weeks of a count that lie between two days."""
    week, over = max(monday_of(count.first_week), monday_of(first)), min(count.last_week or count.first_week, last)
    while week <= over:
        yield week
        week += WEEK


def runs_of(days: Sequence[date], step: timedelta) -> list[list[date]]:
    """Days in order, parted wherever one does not follow the one before by a step."""
    runs: list[list[date]] = []
    for day in days:
        if runs and day == runs[-1][-1] + step:
            runs[-1].append(day)
        else:
            runs.append([day])
    return runs
