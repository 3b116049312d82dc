"""The winter plan on paper: a quarter of the year to a sheet for the wall, a month to a sheet for the bench."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.utils.formats import date_format

from farmops.core.calendar import WEEK
from farmops.growing.models import Variety
from farmops.growing.natural_order import natural_key
from farmops.planning.copy_year import span_of
from farmops.planning.stored_answers import Stored
from farmops.planning.views.winter_page import A_MONDAY, whole_trays
from farmops.planning.winter_year import Selling, selling_of
from farmops.web.templatetags.formats import whole

QUARTER = 13  # weeks on a sheet; the last sheet of a year of 53 has one more
Cells = dict[tuple[str, str], dict[date, float]]  # what, and its unit


@dataclass(frozen=True, slots=True)
class WallWeek:
    """The head of a column."""

    number: int
    monday: date
    is_planned: bool


@dataclass(frozen=True, slots=True)
class WallRow:
    """What stands in a row, its unit, and a figure (or nothing) for each week, with whether it is exact."""

    what: str
    unit: str
    cells: tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class WallSheet:
    """Thirteen weeks."""

    weeks: tuple[WallWeek, ...]
    selling: tuple[WallRow, ...]
    sown: tuple[WallRow, ...]
    moved: tuple[WallRow, ...]
    sold: tuple[WallRow, ...]

    @property
    def first(self) -> WallWeek:
        return self.weeks[0]

    @property
    def last(self) -> WallWeek:
        return self.weeks[-1]


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One variety to sow in a week; `opens` where its week begins on the paper."""

    number: int
    monday: date
    variety: str
    much: str
    part: str
    seeds: str
    is_whole: bool
    opens: bool


@dataclass(frozen=True, slots=True)
class BenchMonth:
    """Weeks whose Monday lies in one month."""

    month: date
    lines: tuple[BenchLine, ...]


def wall_sheets(kept: Stored, year: int) -> tuple[WallSheet, ...]:
    """Four sheets. Eight queries."""
    answer, (first, last) = kept.answer, span_of(year)
    selling = selling_of(first, last).weeks
    parts = dict(Variety.objects.values_list("name", "part"))
    whole_ones = whole_trays(dict(answer))
    sown, moved, sold = _sown(whole_ones, parts), _moved(answer["moves"], whole_ones), _sold(answer)
    not_whole = date.fromisoformat(answer["first_not_whole"])
    begins, ends = date.fromisoformat(answer["monday"]), date.fromisoformat(answer["end"])
    sheets = []
    for weeks in quarters(first, last):
        sheets.append(
            WallSheet(
                weeks=tuple(WallWeek(one.isocalendar().week, one, begins <= one < ends) for one in weeks),
                selling=tuple(_selling(selling, weeks)),
                sown=tuple(_rows(sown, weeks, not_whole)),
                moved=tuple(_rows(moved, weeks, not_whole)),
                sold=tuple(_rows(sold, weeks, not_whole)),
            )
        )
    return tuple(sheets)


def quarters(first: date, last: date) -> list[list[date]]:
    """The Mondays of a year in four runs of thirteen; a 53rd week stands with the last."""
    mondays = [first + WEEK * number for number in range((last - first).days // 7 + 1)]
    runs = [mondays[at : at + QUARTER] for at in range(0, len(mondays), QUARTER)]
    return [*runs[:3], [monday for run in runs[3:] for monday in run]]


def bench_months(kept: Stored, year: int) -> tuple[BenchMonth, ...]:
    """The year's sowings by the month of their Monday. One query."""
    first, last = span_of(year)
    varieties = {one.name: one for one in Variety.objects.all()}
    months: dict[date, list[BenchLine]] = defaultdict(list)
    whole_ones = whole_trays(dict(kept.answer))
    before = None
    for monday, variety, _parts, _seeds, is_whole, *_rest in kept.answer["sowings"]:
        day, much = date.fromisoformat(monday), whole_ones[monday, variety]
        if not first <= day <= last or not much or variety not in varieties:
            continue
        months[day.replace(day=1)].append(
            BenchLine(
                number=day.isocalendar().week,
                monday=day,
                variety=variety,
                much=str(much),
                part=varieties[variety].part,
                seeds=whole(much * varieties[variety].part_plants),
                is_whole=is_whole,
                opens=day != before,
            )
        )
        before = day
    return tuple(BenchMonth(month, tuple(lines)) for month, lines in sorted(months.items()))


def _sown(whole_ones: Mapping[tuple[str, str], int], parts: Mapping[str, str]) -> Cells:
    found: Cells = defaultdict(lambda: defaultdict(float))
    for (monday, variety), much in whole_ones.items():
        found[variety, parts.get(variety, "")][date.fromisoformat(monday)] += much
    return found


def _moved(rows: Iterable[Sequence[Any]], whole_ones: Mapping[tuple[str, str], int]) -> Cells:
    """By variety and the kind of space it goes into, in trays of its sowing."""
    found: Cells = defaultdict(lambda: defaultdict(float))
    for monday, variety, _much, _plants, kind, sown in rows:
        found[variety, f"→ {kind}"][date.fromisoformat(monday)] += whole_ones[sown, variety]
    return found


def _sold(answer: Mapping[str, Any]) -> Cells:
    found: Cells = defaultdict(lambda: defaultdict(float))
    for monday, item, met, taken in answer["sold"]:
        found[item, answer["units"][item]][date.fromisoformat(monday)] += met + taken
    return found


def _rows(cells: Cells, weeks: Sequence[date], not_whole: date) -> Iterable[WallRow]:
    """One row for each of what there is anything of in these weeks."""
    for (what, unit), of_week in sorted(cells.items(), key=lambda one: (natural_key(one[0][0]), one[0][1])):
        texts = tuple((_figure(of_week.get(one, 0.0)), one < not_whole) for one in weeks)
        if any(text for text, _is_whole in texts):
            yield WallRow(what, unit, texts)


def _figure(much: float) -> str:
    return whole(much) if much >= 0.5 else ""


def _selling(selling: Mapping[date, Selling], weeks: Sequence[date]) -> Iterable[WallRow]:
    """Names of markets with a mark in each week they are taken, and boxes of each size by number."""
    markets = sorted({one for monday in weeks for one in selling[monday].markets})
    for weekday, name in markets:
        day = date_format(A_MONDAY + timedelta(days=weekday), "D")
        marks = (("●" if (weekday, name) in selling[monday].markets else "", True) for monday in weeks)
        yield WallRow(name, day, tuple(marks))
    sizes = sorted({(one.box, one.size) for monday in weeks for one in selling[monday].boxes})
    for box, size in sizes:
        numbers = []
        for monday in weeks:
            found = [one for one in selling[monday].boxes if (one.box, one.size) == (box, size)]
            numbers.append((str(found[0].most) if found else "", True))
        yield WallRow(box, size, tuple(numbers))
