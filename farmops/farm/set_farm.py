"""The farm itself, begun or changed on a page: its name, where it lies, its days."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.utils.translation import gettext as _

from farmops.farm.days import WEEKDAYS
from farmops.farm.models import Farm
from farmops.farm.row_moves import bring_in
from farmops.farm.typed_figures import (
    figure_text,
    latitude_of,
    latitude_text,
    month_day_typed,
    name_of,
    percent_of,
)
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused

USUAL_PACE = Decimal(50)  # percent of the usual growth in the dark weeks


def set_farm(
    *,
    saying: Saying,
    name: str,
    latitude: str,
    time_zone: str,
    units: str,
    currency: str,
    paper: str,
    harvest_days: Sequence[str] = (),
    season_first: date | None = None,
    season_last: date | None = None,
    dark_first: str = "",
    dark_end: str = "",
    dark_pace: str = "",
    yes: frozenset[str] = frozenset(),
) -> Done:
    """Begin the farm, or change what is known of it from now on.

    Raises
    ------
    Refused
        If a figure cannot be, or the dark weeks have only one end.
    NeedsYes
        Before another time zone or currency is given to what was noted already.
    """
    facts: dict[str, object] = {
        "name": name_of(name),
        "latitude": latitude_of(latitude),
        "time_zone": _zone(time_zone),
        "units": units,
        "currency": _currency(currency),
        "paper": paper,
        "harvest_days": ";".join(day for day in WEEKDAYS if day in harvest_days),
        "season_first_on": season_first,
        "season_last_on": season_last,
        **_dark_weeks(dark_first, dark_end, dark_pace),
    }
    if season_first and season_last and season_last < season_first:
        raise Refused(_("The season must end after it begins."), field="season_last")

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        farm = Farm.objects.select_for_update(no_key=True).first()
        if farm is None:
            farm = Farm(**facts)
            bring_in(entry, farm)
            return _("%(name)s, %(where)s: the farm begins here") % _words(farm), {}
        _ask(farm, facts, yes)
        change(entry, farm, **facts)
        return _("%(name)s, %(where)s: the farm changed") % _words(farm), {}

    return do_once(saying, Job.SET, write)


def typed_of(farm: Farm) -> dict[str, object]:
    """What a form would have to say to leave the farm as it is."""
    return {
        "name": farm.name,
        "latitude": latitude_text(farm.latitude),
        "time_zone": farm.time_zone,
        "units": farm.units,
        "currency": farm.currency,
        "paper": farm.paper,
        "harvest_days": [day for day in farm.harvest_days.split(";") if day],
        "season_first": farm.season_first_on,
        "season_last": farm.season_last_on,
        "dark_first": farm.dark_first,
        "dark_end": farm.dark_end,
        "dark_pace": figure_text(farm.dark_pace_percent),
    }


def _words(farm: Farm) -> dict[str, str]:
    return {"name": farm.name, "where": latitude_text(farm.latitude)}


def _zone(typed: str) -> str:
    zone = typed.strip()
    try:
        ZoneInfo(zone)
    except (ValueError, OSError, ZoneInfoNotFoundError):
        words = _("There is no time zone “%(typed)s”. Write one like America/New_York.")
        raise Refused(words % {"typed": zone[:40]}, field="time_zone") from None
    return zone


def _currency(typed: str) -> str:
    currency = typed.strip().upper()
    if len(currency) != 3 or not currency.isascii() or not currency.isalpha():
        words = _("“%(typed)s” is no currency. Write its three letters, e.g. USD.")
        raise Refused(words % {"typed": typed.strip()[:10]}, field="currency")
    return currency


def _dark_weeks(first: str, end: str, pace: str) -> dict[str, object]:
    days = {
        "dark_first": month_day_typed(first, field="dark_first"),
        "dark_end": month_day_typed(end, field="dark_end"),
    }
    if bool(days["dark_first"]) != bool(days["dark_end"]):
        missing = "dark_first" if days["dark_end"] else "dark_end"
        raise Refused(_("The dark weeks have only one end. Fill in both days, or neither."), field=missing)
    return {**days, "dark_pace_percent": percent_of(pace, field="dark_pace", empty=USUAL_PACE)}


def _ask(farm: Farm, facts: Mapping[str, object], yes: frozenset[str]) -> None:
    if facts["time_zone"] != farm.time_zone and "time-zone" not in yes:
        words = _("Times noted so far would read as those of %(zone)s. Is another time zone meant?")
        raise NeedsYes(words % {"zone": facts["time_zone"]}, question="time-zone", field="time_zone")
    if facts["currency"] != farm.currency and "currency" not in yes:
        words = _("Prices keep their figures and would count as %(currency)s. Is another currency meant?")
        raise NeedsYes(words % {"currency": facts["currency"]}, question="currency", field="currency")
