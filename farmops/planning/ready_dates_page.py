"""The table of how far off ready dates were, by variety, in words; and the plantings behind each line."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.growing.ground_now import remembered
from farmops.growing.natural_order import natural_key
from farmops.planning.from_tables import farm_row, schedule_rows
from farmops.planning.own_pace import OWN_DAYS
from farmops.planning.own_records import own_records, told_of
from farmops.planning.ready_dates import LOOKED_BACK, Errors, PastDate, errors_of, past_dates
from farmops.planning.rows import FarmRows
from farmops.planning.standing import place_of, schedules_of

SHOWN = 60  # plantings behind a line


@dataclass(frozen=True, slots=True)
class VarietyLine:
    """One variety; `past` holds those first of which it can be told, the latest first."""

    variety: str
    errors: Errors
    past: Sequence[PastDate]
    leans: Sequence[str]


@dataclass(frozen=True, slots=True)
class ReadyDates:
    """All of it.

    Attributes
    ----------
    errors : Errors
        Of all varieties together.
    leans : sequence of str
        By season, where they lean one way.
    lines : sequence of VarietyLine
        Those of which anything can be told.
    not_told : sequence of VarietyLine
        Those of which nothing can.
    """

    errors: Errors
    leans: Sequence[str]
    lines: Sequence[VarietyLine]
    not_told: Sequence[VarietyLine]

    def of(self, variety: str) -> VarietyLine | None:
        return next((line for line in (*self.lines, *self.not_told) if line.variety == variety), None)


def ready_dates(today: date) -> ReadyDates:
    """Worked out once a day, on its first asking: a year of months learned anew takes half a second."""
    return remembered("ready dates", today, lambda: _ready_dates(today), key=(today, ()))


def _ready_dates(today: date) -> ReadyDates:
    schedules, lights = schedule_rows()
    rows = FarmRows(farm=farm_row(), schedules=schedules, lights=lights)
    versions = schedules_of(rows)
    told = told_of(own_records(today, OWN_DAYS + LOOKED_BACK.days), versions)
    past = past_dates(told, place_of(rows), today, rows.the_farm.harvest_days, versions)
    is_north = float(rows.the_farm.latitude) >= 0
    by_variety: dict[str, list[PastDate]] = defaultdict(list)
    for one in past:
        by_variety[one.variety].append(one)
    lines = [_line(variety, by_variety[variety], is_north=is_north) for variety in sorted(by_variety, key=natural_key)]
    errors = errors_of(past)
    return ReadyDates(
        errors,
        in_seasons(errors, is_north=is_north),
        [line for line in lines if line.errors.told],
        [line for line in lines if not line.errors.told],
    )


def _line(variety: str, past: Sequence[PastDate], *, is_north: bool) -> VarietyLine:
    errors = errors_of(past)
    told_first = sorted(past, key=lambda one: not one.is_told)
    return VarietyLine(variety, errors, told_first[:SHOWN], in_seasons(errors, is_north=is_north))


def in_seasons(errors: Errors, *, is_north: bool) -> list[str]:
    """3 days later than said in autumn."""
    names = [_("in winter"), _("in spring"), _("in summer"), _("in autumn")]
    said = []
    for quarter, days in errors.lean.items():
        season = names[quarter if is_north else (quarter + 2) % 4]
        whole = round(abs(days))
        if days > 0:
            words = ngettext("%(n)d day later than said %(season)s", "%(n)d days later than said %(season)s", whole)
        else:
            words = ngettext("%(n)d day earlier than said %(season)s", "%(n)d days earlier than said %(season)s", whole)
        said.append(words % {"n": whole, "season": season})
    return said


def off_in_words(one: PastDate) -> str:
    """How far off one planting was, as far as it is known."""
    if not one.is_told:
        return _("nobody can tell since when")
    least, most = ((day - one.said.usual).days for day in (one.days[0], one.days[-1]))
    if least <= 0 <= most:
        return _("as said")
    near, far = sorted((abs(least), abs(most)))
    words = _("%(days)s days later") if least > 0 else _("%(days)s days earlier")
    if near == far == 1:
        words = _("%(days)s day later") if least > 0 else _("%(days)s day earlier")
    return words % {"days": near if near == far else f"{near}–{far}"}
