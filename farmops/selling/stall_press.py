"""What a press at the stall means: one word of the form, to the deed that it stands for."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from farmops.farm.days import farm_day, farm_zone, minute_of
from farmops.journal.deed import Done, Saying
from farmops.journal.models import Source
from farmops.journal.refusal import Refused
from farmops.selling.at_stall import back_on_table, not_sold_out, price_from_now, sold_out, tally
from farmops.selling.call_off import call_off, left_early, say_weather
from farmops.selling.models import MarketDay, MarketLine
from farmops.selling.own_hours import Hours
from farmops.selling.restock import restock
from farmops.selling.typed_clock import minute_typed

JUST_BEFORE = 5  # [min]
BESIDES = "besides"  # more is brought than was loaded


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What came with a press, as typed.

    Attributes
    ----------
    what : str
        One of `PRESSES`.
    line : int or None
        The line's key; None for what concerns the whole day.
    opened, closed : str
        Since when and until when it was open that day, where that was asked.
    """

    what: str
    line: int | None = None
    time: str = ""
    amount: str = ""
    price: str = ""
    opened: str = ""
    closed: str = ""
    yes: frozenset[str] = frozenset()

    @property
    def hours(self) -> Hours:
        """What was typed of the day's own hours."""
        opened, closed = self.opened.strip(), self.closed.strip()
        return Hours(
            minute_typed(opened, field="opened") if opened else None,
            minute_typed(closed, field="closed") if closed else None,
        )


def press(saying: Saying, market_day: MarketDay, press: Press) -> Done:
    """Do it.

    Raises
    ------
    Refused, NeedsYes
        As the deed; also where the word or the item is not known.
    """
    said = replace(saying, source=Source.STALL)
    if press.what in _OF_DAY:
        return _OF_DAY[press.what](said, market_day, press)
    if press.what not in _OF_LINE:
        raise Refused(_("Choose what happened."))
    line = market_day.lines.filter(pk=press.line or 0).select_related("market_day__outlet", "item").first()
    if line is None:
        raise Refused(_("That item is not on this list. Open the page again."))
    return _OF_LINE[press.what](said, line, press)


def minute_now(saying: Saying, market_day: MarketDay) -> int | None:
    """The minute it was said, on the market's own day; said on another day the time is not known."""
    zone = farm_zone()
    return minute_of(saying.said_at, zone) if farm_day(saying.said_at, zone) == market_day.held_on else None


def _out(saying: Saying, line: MarketLine, press: Press) -> Done:
    return sold_out(saying=saying, line=line, minute=minute_now(saying, line.market_day), hours=press.hours)


def _out_sometime(saying: Saying, line: MarketLine, press: Press) -> Done:
    return sold_out(saying=saying, line=line, minute=None)


def _out_before(saying: Saying, line: MarketLine, press: Press) -> Done:
    now = minute_now(saying, line.market_day)
    if now is None:
        raise Refused(_("That market is over: type the time."), field="time")
    return sold_out(saying=saying, line=line, minute=now - JUST_BEFORE, puts_right=True, hours=press.hours)


def _out_at(saying: Saying, line: MarketLine, press: Press) -> Done:
    return sold_out(saying=saying, line=line, minute=minute_typed(press.time), puts_right=True, hours=press.hours)


def _back(saying: Saying, line: MarketLine, press: Press) -> Done:
    minute = minute_now(saying, line.market_day)
    return back_on_table(saying=saying, line=line, minute=minute, hours=press.hours)


def _slip(saying: Saying, line: MarketLine, press: Press) -> Done:
    return not_sold_out(saying=saying, line=line)


def _restock(saying: Saying, line: MarketLine, press: Press) -> Done:
    minute, besides = _typed_or_now(saying, line.market_day, press), press.what == BESIDES
    return restock(
        saying=saying,
        line=line,
        typed=press.amount,
        minute=minute,
        is_besides=besides,
        yes=press.yes,
        hours=press.hours,
    )


def _tally(saying: Saying, line: MarketLine, press: Press) -> Done:
    minute = _typed_or_now(saying, line.market_day, press)
    return tally(saying=saying, line=line, typed=press.amount, minute=minute, yes=press.yes, hours=press.hours)


def _price(saying: Saying, line: MarketLine, press: Press) -> Done:
    minute = _typed_or_now(saying, line.market_day, press)
    return price_from_now(
        saying=saying,
        line=line,
        typed=press.price,
        minute=minute,
        sold_so_far=press.amount,
        yes=press.yes,
        hours=press.hours,
    )


def _weather(saying: Saying, market_day: MarketDay, press: Press) -> Done:
    return say_weather(saying=saying, market_day=market_day, weather=press.what)


def _left(saying: Saying, market_day: MarketDay, press: Press) -> Done:
    minute = _typed_or_now(saying, market_day, press)
    if minute is None:
        raise Refused(_("That market is over: type when you left."), field="time")
    return left_early(saying=saying, market_day=market_day, minute=minute)


def _off(saying: Saying, market_day: MarketDay, press: Press) -> Done:
    return call_off(saying=saying, market_day=market_day)


def _typed_or_now(saying: Saying, market_day: MarketDay, press: Press) -> int | None:
    return minute_typed(press.time) if press.time.strip() else minute_now(saying, market_day)


_OF_LINE: Mapping[str, Callable[[Saying, MarketLine, Press], Done]] = {
    "out": _out,
    "ago": _out_before,
    "out_at": _out_at,
    "out_sometime": _out_sometime,
    "back": _back,
    "slip": _slip,
    "restock": _restock,
    BESIDES: _restock,
    "tally": _tally,
    "price": _price,
}
_OF_DAY: Mapping[str, Callable[[Saying, MarketDay, Press], Done]] = {
    "rain": _weather,
    "dry": _weather,
    "left": _left,
    "off": _off,
}
PRESSES = (*_OF_LINE, *_OF_DAY)
