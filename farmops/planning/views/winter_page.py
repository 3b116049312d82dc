"""What the winter plan shows: weeks that sell alike, and what is sown, moved on and sold week by week, in words."""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.calendar import WEEK, weeks_in
from farmops.farm.unit_words import unit_of_many
from farmops.growing.ground_now import remembered
from farmops.growing.models import Variety
from farmops.growing.natural_order import natural_key
from farmops.planning.copy_year import span_of
from farmops.planning.models import StoredAnswer
from farmops.planning.plan_words import how_good
from farmops.planning.stored_answers import Json, Stored, stored
from farmops.planning.winter_year import BoxSize, MarketOfYear, Run, selling_of
from farmops.web.templatetags.formats import amount, short_day, whole

KIND = StoredAnswer.Kind.YEAR
A_WINTER = 8 * WEEK  # a season's end before New Year is nothing to be told of
A_MONDAY = date(2024, 1, 1)
Row = Sequence[Any]  # of a stored answer: JSON


@dataclass(frozen=True, slots=True)
class RunLine:
    """Weeks that sell alike."""

    weeks: str
    days: str
    markets: str
    off: str
    boxes: str
    orders: str
    is_nothing: bool


@dataclass(frozen=True, slots=True)
class PlanWeek:
    """One week, or several one after another in which nothing is to be done: what is sown, moved on and sold; each as
    (what, how much)."""

    monday: date
    number: int
    numbers: str
    is_whole: bool
    sown: tuple[tuple[str, str], ...]
    moved: tuple[tuple[str, str], ...]
    sold: tuple[tuple[str, str], ...]

    @property
    def is_nothing(self) -> bool:
        return not (self.sown or self.moved or self.sold)


@dataclass(frozen=True, slots=True)
class SowingsOfYear:
    """The plan that was worked out, as far as it lies in the year.

    Attributes
    ----------
    begins, ends : date or None
        First and last day of the plan's weeks in this year, where it holds only a part of it.
    nothing_after : date or None
        The last day anything is sold on, where that is long before the year or the plan ends.
    is_for_nobody : bool
        Nothing is sold in any of its weeks.
    """

    kept: Stored
    how_good: str
    is_solved: bool
    let_go: bool
    not_whole: date | None
    begins: date | None
    ends: date | None
    nothing_after: date | None
    is_for_nobody: bool
    is_past: bool
    weeks: tuple[PlanWeek, ...]
    spare: tuple[str, ...]
    full: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WinterPage:
    """The whole page of an ISO year; it is begun when a market day of it is on the list."""

    year: int
    first: date
    last: date
    weeks_in_year: int
    runs: tuple[RunLine, ...]
    markets: tuple[str, ...]
    sowings: SowingsOfYear | None
    is_begun: bool


def winter_page(year: int, today: date) -> WinterPage:
    """Eleven queries; four until somebody writes something down."""
    first, last = span_of(year)
    selling = remembered(f"selling of {year}", today, lambda: selling_of(first, last))
    kept = stored(KIND)
    return WinterPage(
        year=year,
        first=first,
        last=last,
        weeks_in_year=weeks_in(year),
        runs=tuple(_run(one) for one in selling.runs),
        markets=tuple(_market(one) for one in selling.markets),
        sowings=None if kept is None else sowings_of(kept, year, today),
        is_begun=any(one.listed for one in selling.markets),
    )


def sowings_of(kept: Stored, year: int, today: date) -> SowingsOfYear:
    """What is kept of a year's sowings. One query."""
    answer = dict(kept.answer)
    first, last = span_of(year)
    monday, end = date.fromisoformat(answer["monday"]), date.fromisoformat(answer["end"])
    not_whole = date.fromisoformat(answer["first_not_whole"])
    return SowingsOfYear(
        kept=kept,
        how_good=how_good(answer["status"], answer["gap"]),
        is_solved=answer["status"] != "infeasible",
        let_go=answer["let_go"],
        not_whole=not_whole if not_whole <= last else None,
        begins=monday if monday > first else None,
        ends=end - timedelta(days=1) if end <= last else None,
        nothing_after=_nothing_after(answer, min(last, end)),
        is_for_nobody=not answer["last_sale"],
        is_past=monday + WEEK <= today,
        weeks=tuple(_empty_ones_as_one(weeks_of(answer, max(first, monday), min(last + timedelta(days=1), end)))),
        spare=tuple(_spare(answer)),
        full=tuple(_full(kind, weeks, first, last) for kind, weeks in answer["full"] if _within(weeks, first, last)),
    )


def _nothing_after(answer: Json, end: date) -> date | None:
    if not answer["last_sale"]:
        return None
    last_sale = date.fromisoformat(answer["last_sale"])
    return last_sale if last_sale + A_WINTER < end else None


def weeks_of(answer: Json, first: date, end: date) -> Iterable[PlanWeek]:
    """Weeks of the plan from a Monday to before another. One query."""
    parts = dict(Variety.objects.values_list("name", "part"))
    not_whole = date.fromisoformat(answer["first_not_whole"])
    whole_ones = whole_trays(answer)
    sown, sold = _by_week(answer["sowings"]), _by_week(answer["sold"])
    moved, standing = _by_week(answer["moves"]), _by_week(answer["standing"])
    while first < end:
        yield PlanWeek(
            monday=first,
            number=first.isocalendar().week,
            numbers=str(first.isocalendar().week),
            is_whole=first < not_whole,
            sown=tuple(
                (name, f"{whole_ones[day, name]} × {parts.get(name, '')}")
                for day, name, *_rest in sown[first]
                if whole_ones[day, name]
            ),
            moved=tuple(_moved(moved[first], standing[first], parts, whole_ones)),
            sold=tuple((item, _much(met + taken, answer["units"][item])) for _day, item, met, taken in sold[first]),
        )
        first += WEEK


def _empty_ones_as_one(weeks: Iterable[PlanWeek]) -> Iterable[PlanWeek]:
    """Weeks in which nothing is to be done stand as one line."""
    for is_nothing, run in groupby(weeks, key=lambda week: week.is_nothing):
        alike = list(run)
        if is_nothing and len(alike) > 1:
            yield replace(alike[0], numbers=f"{alike[0].number}–{alike[-1].number}")
        else:
            yield from alike


def whole_trays(answer: Json) -> dict[tuple[str, str], int]:
    """Trays by Monday and variety, in whole ones also where the plan has fractions yet: what is rounded off one week
    goes into the next, so that their sum stays what the plan says."""
    left: dict[str, float] = defaultdict(float)
    found = {}
    for monday, variety, parts, *_rest in answer["sowings"]:
        left[variety] += parts
        found[monday, variety] = math.floor(left[variety] + 0.5)
        left[variety] -= found[monday, variety]
    return found


def _by_week(rows: Sequence[Row]) -> Mapping[date, list[Row]]:
    found: dict[date, list[Row]] = defaultdict(list)
    for row in rows:
        found[date.fromisoformat(row[0])].append(row)
    return found


def _moved(
    new: Sequence[Row],
    standing: Sequence[Row],
    parts: Mapping[str, str],
    whole_ones: Mapping[tuple[str, str], int],
) -> Iterable[tuple[str, str]]:
    """By kind of space: what stands, by its number; what is sown in this plan, in trays of its sowing."""
    into: dict[str, list[str]] = defaultdict(list)
    for _day, variety, code, kind, _places in standing:
        into[kind].append(f"{code} {variety}")
    together: dict[tuple[str, str], int] = defaultdict(int)
    for _day, variety, _much, _plants, kind, sown in new:
        together[kind, variety] += whole_ones[sown, variety]
    for (kind, variety), much in sorted(together.items()):
        if much:
            into[kind].append(f"{variety} {much} × {parts.get(variety, '')}")
    return ((kind, ", ".join(names)) for kind, names in sorted(into.items(), key=lambda one: natural_key(one[0])))


def _much(value: float, unit: str) -> str:
    figure = whole(value) if value >= 9.95 else amount(round(value, 1))
    return f"{figure} {unit if figure == '1' else unit_of_many(unit)}"


def _spare(answer: Json) -> Iterable[str]:
    """Of what stands today, what nobody takes, an item a line."""
    weeks: dict[str, list[date]] = defaultdict(list)
    sums: dict[str, float] = defaultdict(float)
    for monday, item, much in answer["spare"]:
        weeks[item].append(date.fromisoformat(monday))
        sums[item] += much
    for item in sorted(sums, key=lambda one: (weeks[one][0], natural_key(one))):
        words = {"item": item, "much": _much(sums[item], answer["units"].get(item, "")), "weeks": in_runs(weeks[item])}
        if len(weeks[item]) == 1:
            words["day"] = short_day(weeks[item][0])
            yield _("%(item)s: %(much)s in week %(weeks)s, from %(day)s on") % words
        else:
            yield _("%(item)s: %(much)s in weeks %(weeks)s") % words


def _within(weeks: Iterable[str], first: date, last: date) -> bool:
    return any(first <= date.fromisoformat(day) <= last for day in weeks)


def _full(kind: str, weeks: Iterable[str], first: date, last: date) -> str:
    days = [date.fromisoformat(day) for day in weeks if first <= date.fromisoformat(day) <= last]
    return _("%(kind)s: full in week %(weeks)s") % {"kind": kind, "weeks": in_runs(days)}


def in_runs(days: Sequence[date]) -> str:
    """Numbers of weeks, in runs: 19–24, 31."""
    runs: list[list[date]] = []
    for day in days:
        if runs and day - runs[-1][-1] == WEEK:
            runs[-1].append(day)
        else:
            runs.append([day])
    return ", ".join(_numbers(run[0], run[-1]) for run in runs)


def _numbers(first: date, last: date) -> str:
    begins, ends = first.isocalendar().week, last.isocalendar().week
    return str(begins) if first == last else f"{begins}–{ends}"


def _run(one: Run) -> RunLine:
    selling = one.selling
    return RunLine(
        weeks=_numbers(one.first, one.last),
        days=_("%(first)s to %(last)s")
        % {"first": short_day(one.first), "last": short_day(one.last + timedelta(days=6))},
        markets=_on_days(selling.markets),
        off=_on_days(selling.off),
        boxes=", ".join(_boxes(size) for size in selling.boxes),
        orders=_on_days(selling.orders),
        is_nothing=selling.is_nothing,
    )


def _on_days(named: Iterable[tuple[int, str]]) -> str:
    return ", ".join(f"{date_format(A_MONDAY + timedelta(days=weekday), 'D')} {name}" for weekday, name in named)


def _boxes(one: BoxSize) -> str:
    number = str(one.most) if one.fewest == one.most else f"{one.fewest}–{one.most}"
    return " ".join(filter(None, (number, one.size, one.box)))


def _market(one: MarketOfYear) -> str:
    words = {"name": one.name, "days": one.days, "listed": one.listed}
    return (
        ngettext(
            "%(name)s: %(days)d day, %(listed)d of them on the list",
            "%(name)s: %(days)d days, %(listed)d of them on the list",
            one.days,
        )
        % words
    )
