"""What is said of a whole market day: called off, rain or dry, left early, done for the evening."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words, farm_zone, minute_of
from farmops.harvest.models import StockMove
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.selling.load_van import loaded_moves
from farmops.selling.locked_day import begin_at_stall, check_not_called_off, locked_day
from farmops.selling.market_facts import LOADED
from farmops.selling.models import MarketDay, MarketFact


def call_off(*, saying: Saying, market_day: MarketDay) -> Done:
    """It is not held. What was loaded lies in the cold room again, with its lots and their age.

    Raises
    ------
    Refused
        If something was noted at the stall, or it is called off already.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        day = locked_day(market_day)
        check_not_called_off(day)
        held = MarketFact.objects.live().filter(line__market_day=day).exclude(kind__in=LOADED)
        if first := held.select_related("entry").order_by("pk").first():
            raise Refused(
                _("It was held: “%(said)s”. Take that back first, or say when you left.") % {"said": first.entry.said}
            )
        change(entry, day, status=MarketDay.Status.CALLED_OFF)
        for move in loaded_moves(day):
            save(
                StockMove(
                    lot_id=move.lot_id,
                    item_id=move.item_id,
                    moved_on=saying.day,
                    amount=-move.amount,
                    unit=move.unit,
                    why=StockMove.Why.CAME_BACK,
                    cut_on=move.cut_on,
                    returns=move,
                    entry=entry,
                )
            )
        return _("%(market)s, %(day)s, called off") % _words(day), {"market_day": day.pk}

    return do_once(saying, Job.STALL, write)


def say_weather(*, saying: Saying, market_day: MarketDay, weather: str) -> Done:
    """Rain or dry."""

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        day = locked_day(market_day)
        begin_at_stall(saying, entry, day)
        change(entry, day, weather=MarketDay.Weather(weather))
        words = {**_words(day), "weather": MarketDay.Weather(weather).label}
        return _("%(market)s, %(day)s: %(weather)s") % words, {"market_day": day.pk}

    return do_once(saying, Job.STALL, write)


def left_early(*, saying: Saying, market_day: MarketDay, minute: int) -> Done:
    """Went home before it closed; what was still on the table was not sold out.

    Raises
    ------
    Refused
        If that is not within its hours.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        day = locked_day(market_day)
        begin_at_stall(saying, entry, day)
        if not day.opens_minute < minute < day.closes_minute:
            hours = {"opens": _clock(day.opens_minute), "closes": _clock(day.closes_minute)}
            raise Refused(_("It was open from %(opens)s to %(closes)s: leave a time between.") % hours, field="minute")
        change(entry, day, left_minute=minute)
        return _("%(market)s, %(day)s: left at %(when)s") % {**_words(day), "when": _clock(minute)}, {
            "market_day": day.pk
        }

    return do_once(saying, Job.STALL, write)


def close_day(*, saying: Saying, market_day: MarketDay) -> Done:
    """The evening is done; what is not known stays unknown, and what is noted later still counts.

    Raises
    ------
    Refused
        If somebody closed it already; that is told, and nothing is lost by it.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        day = locked_day(market_day)
        check_not_called_off(day)
        if day.closed_entry is not None:
            who = {"when": _clock(minute_of(day.closed_entry.said_at, farm_zone())), "by": day.closed_entry.by or "?"}
            raise Refused(_("%(by)s closed this day at %(when)s already. What is noted now still counts.") % who)
        begin_at_stall(saying, entry, day)
        change(entry, day, closed_entry=entry)
        return _("%(market)s, %(day)s: evening done") % _words(day), {"market_day": day.pk}

    return do_once(saying, Job.CAME_BACK, write)


def _words(day: MarketDay) -> dict[str, str]:
    return {"market": day.outlet.name, "day": day_in_words(day.held_on)}


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"
