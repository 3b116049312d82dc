"""What every deed about a market day begins with: the day locked, and whether it may be said of it."""

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words, farm_day
from farmops.journal.deed import Saying, change
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused
from farmops.selling.models import MarketDay, MarketLine


def locked_day(market_day: MarketDay) -> MarketDay:
    """The day as it stands now; whoever comes second waits here."""
    # Lock first, then read: what a locking query joins would be as it was before the wait.
    MarketDay.objects.select_for_update(no_key=True).values("pk").get(pk=market_day.pk)
    return MarketDay.objects.select_related("outlet", "closed_entry__by").get(pk=market_day.pk)


def locked_line(line: MarketLine) -> MarketLine:
    """A line whose day is locked, as it stands now.

    Raises
    ------
    Refused
        If the line was taken off the list.
    """
    day = locked_day(line.market_day)
    fresh = MarketLine.objects.select_related("item", "entry__corrected_by").get(pk=line.pk)
    if hasattr(fresh.entry, "corrected_by"):
        raise Refused(_("%(item)s was taken off this list. Put it on again first.") % {"item": fresh.item.name})
    fresh.market_day = day
    return fresh


def begin_at_stall(saying: Saying, entry: Entry, day: MarketDay) -> None:
    """A fact of the stall or of the evening: the market takes place, on a day that has come.

    Raises
    ------
    Refused
        If it was called off or lies ahead.
    """
    check_not_called_off(day)
    if day.held_on > farm_day(saying.now):
        words = {"market": day.outlet.name, "day": day_in_words(day.held_on)}
        raise Refused(_("%(market)s, %(day)s, lies ahead. Note it when it is held.") % words)
    change(entry, day, status=MarketDay.Status.TOOK_PLACE)


def check_not_called_off(day: MarketDay) -> None:
    """Say no to what cannot be on a day that did not take place.

    Raises
    ------
    Refused
    """
    if day.status == MarketDay.Status.CALLED_OFF:
        words = {"market": day.outlet.name, "day": day_in_words(day.held_on)}
        raise Refused(_("%(market)s, %(day)s, was called off. Take that back first.") % words)
