"""The last day to sow each variety so that it is ready by the last day it can be sold, or before the dark weeks."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from farmops.core.growth import NORMAL_80, Factor, Need, Place, Slowness, last_entry_for
from farmops.core.schedule import Schedule
from farmops.planning.own_pace import OWN_DAYS, own_pace, told_by
from farmops.planning.programme import may_be_sown
from farmops.planning.rows import FarmRows, Variety
from farmops.planning.standing import place_of, plantings_of, schedule_on, schedules_of
from farmops.planning.stored_answers import Json
from farmops.planning.wants import market_dates, promises

DAY = timedelta(days=1)
AHEAD = timedelta(days=365)  # so far ahead a last selling day or the dark weeks are looked for


def last_entry_through(
    needs: Sequence[Need], place: Place, wanted: date, earliest: date, factors: Sequence[Factor] = ()
) -> date | None:
    """Latest day of sowing after which the last stage is over on or before a day; None if `earliest` is too late.

    Parameters
    ----------
    needs : (stages,) sequence of Need
    place : Place
    wanted : date
    earliest : date
    factors : (stages,) sequence of Factor
        This variety's own slowness in each; empty = 1. [-]
    """
    day: date | None = wanted
    for need, factor in zip(reversed(needs), reversed(factors or (1.0,) * len(needs)), strict=True):
        day = last_entry_for(need, place, day, earliest, factor) if day is not None else None
    return day


def last_selling_day(rows: FarmRows, today: date) -> date | None:
    """The last day within a year on which a market, a buyer or a box takes anything; None while no end is in sight.

    A gap of closed weeks is no end: selling ends where nothing is sold any more.
    """
    end = today + AHEAD
    days = [one.day for one in market_dates(rows, today, end)] + [one.day for one in promises(rows, today, end)]
    last = max(days, default=None)
    season_ends = rows.the_farm.season_last_day
    is_end = season_ends is not None and season_ends < end
    return last if last is not None and (is_end or last < end - timedelta(days=31)) else None


def dark_begins(place: Place, today: date) -> date | None:
    """First dark day to come; None where there is none within a year, or growth does not slow down in it."""
    if place.dark_pace >= 1.0:
        return None
    days = (today + DAY * number for number in range(AHEAD.days))
    return next((day for day in days if place.is_dark(day) and not place.is_dark(day - DAY)), None)


def last_sowings(rows: FarmRows, today: date) -> Json:
    """The table as it is kept: for each variety the usual last day, and the one that is safe nine times in ten.

    `usual` is None where today is too late already. A variety's own season of sowing may end before.
    """
    place = place_of(rows)
    recent = [told_by(one) for one in plantings_of(rows, today) if (today - one.sown).days <= OWN_DAYS]
    own = own_pace(recent, place, today, rows.the_farm.harvest_days, [one.variety for one in rows.varieties])
    versions = schedules_of(rows)
    sold, dark = last_selling_day(rows, today), dark_begins(place, today)
    lines = []
    for variety in sorted(rows.varieties, key=lambda one: one.variety.casefold()):
        if variety.variety not in versions or variety.part_plants == 0:
            continue
        schedule = schedule_on(versions[variety.variety], today)
        pace = own.get(variety.variety) or Slowness()
        lines.append(
            {
                "variety": variety.variety,
                "sold": _days(variety, schedule, place, pace, sold, today),
                "dark": _days(variety, schedule, place, pace, dark and dark - DAY, today),
            }
        )
    return {
        "sold": sold and sold.isoformat(),
        "dark": dark and dark.isoformat(),
        "lines": lines,
    }


def _days(
    variety: Variety, schedule: Schedule, place: Place, own: Slowness, wanted: date | None, today: date
) -> Mapping[str, str | None] | None:
    if wanted is None:
        return None
    needs = [stage.need for stage in schedule.stages]
    usual, sure = (
        last_entry_through(needs, place, wanted, today, own.factors(len(needs), spreads))
        for spreads in (0.0, NORMAL_80)
    )
    return {"usual": _in_season(variety, usual, today), "sure": _in_season(variety, sure, today)}


def _in_season(variety: Variety, day: date | None, today: date) -> str | None:
    """The day itself, or the last before it in the variety's own season of sowing."""
    while day is not None and day >= today:
        if may_be_sown(variety, day):
            return day.isoformat()
        day -= DAY
    return None
