"""The markets: days to come, on the list or not yet, and the last ones with what is still to be said of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Q
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.growing.natural_order import natural_key
from farmops.selling.market_dates import market_dates
from farmops.selling.market_facts import LEFTOVER, LOADED
from farmops.selling.models import MarketDay, Outlet

AHEAD, BEHIND = timedelta(days=21), timedelta(days=35)


@dataclass(frozen=True, slots=True)
class MarketRow:
    """One market day.

    Attributes
    ----------
    day : MarketDay or None
        None: not on the list yet.
    state : str
    """

    held_on: date
    outlet: Outlet
    day: MarketDay | None
    state: str


@dataclass(frozen=True, slots=True)
class MarketList:
    """Days from today on, soonest first; days behind, latest first; markets for a day that stands in neither."""

    ahead: Sequence[MarketRow]
    behind: Sequence[MarketRow]
    outlets: Sequence[Outlet]


def market_list(today: date) -> MarketList:
    """Six queries, however many market days."""
    loaded = Q(lines__facts__kind__in=LOADED, lines__facts__entry__corrected_by=None, lines__facts__amount__gt=0)
    known = Q(lines__facts__kind__in=LEFTOVER, lines__facts__entry__corrected_by=None)
    held = (
        MarketDay.objects.filter(held_on__gte=today - BEHIND, held_on__lte=today + AHEAD, entry__corrected_by=None)
        .select_related("outlet")
        .annotate(
            loaded=Count("lines", filter=loaded & Q(lines__entry__corrected_by=None), distinct=True),
            known=Count("lines", filter=known & Q(lines__entry__corrected_by=None), distinct=True),
        )
    )
    rows = [MarketRow(day.held_on, day.outlet, day, state_in_words(day, today)) for day in held]
    there = {(row.held_on, row.outlet.pk) for row in rows}
    for held_on, outlet in market_dates(today, today + AHEAD):
        if (held_on, outlet.pk) not in there:
            rows.append(MarketRow(held_on, outlet, None, _("not on the list yet")))
    rows.sort(key=lambda row: (row.held_on, natural_key(row.outlet.name)))
    outlets = [one for one in Outlet.objects.markets() if one.last_on is None or one.last_on >= today - BEHIND]
    return MarketList(
        [row for row in rows if row.held_on >= today],
        [row for row in reversed(rows) if row.held_on < today],
        sorted(outlets, key=lambda one: natural_key(one.name)),
    )


def state_in_words(day: MarketDay, today: date) -> str:
    """In a word or two how far a day is; `loaded` and `known` count its lines."""
    loaded, known = getattr(day, "loaded", 0), getattr(day, "known", 0)
    if day.status == MarketDay.Status.CALLED_OFF:
        return _("called off")
    if day.closed_entry_id is not None:
        return _("evening done") if known >= loaded else _still_unknown(loaded - known)
    if day.held_on < today:
        return _still_unknown(loaded - known) if loaded > known else _("evening not done")
    if loaded:
        return ngettext("%(n)d item loaded", "%(n)d items loaded", loaded) % {"n": loaded}
    return _("on the list, not loaded")


def _still_unknown(number: int) -> str:
    return ngettext("%(n)d item: what came back is not known", "%(n)d items: what came back is not known", number) % {
        "n": number
    }
