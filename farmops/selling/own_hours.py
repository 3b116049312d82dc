"""A market day has hours of its own: what is said of a time outside them is asked about, and may put them right."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from django.utils.translation import gettext as _

from farmops.journal.deed import change
from farmops.journal.models import Entry
from farmops.journal.refusal import Refused
from farmops.selling.models import MarketDay
from farmops.selling.typed_clock import clock_of

LINGER = 60  # the last customers, and a seller who notes it while packing up [min]
SETTING_UP = 60  # a price is written on the board before it opens [min]


class Said(Enum):
    """What is said of a minute."""

    OUT = "out"
    ON_THE_TABLE = "on the table"
    COUNTED = "counted"
    PRICE = "price"


# How long before the opening and after the closing it may be; None is any. [min]
MAY_BE: Mapping[Said, tuple[int, int | None]] = {
    Said.OUT: (0, LINGER),
    Said.ON_THE_TABLE: (0, LINGER),
    Said.COUNTED: (0, None),  # sales are counted at home, too
    Said.PRICE: (SETTING_UP, LINGER),
}


@dataclass(frozen=True, slots=True)
class Hours:
    """Since when and until when it was open on that day, where somebody says so. [min after midnight]"""

    opened: int | None = None
    closed: int | None = None


AS_NOTED = Hours()


def keep_hours(entry: Entry, day: MarketDay, said: Said, minute: int | None, hours: Hours = AS_NOTED) -> None:
    """Hold a minute against the hours of its day; with other `hours` the day's are changed, old and new noted.

    Nobody buys at a market that is not open: a sell-out before the opening would tell of a crowd that never was.

    Raises
    ------
    Refused
        If the minute lies outside (the field is `opened` or `closed`: the hour that would explain it).
    """
    if minute is None:
        return
    before, after = MAY_BE[said]
    if minute < day.opens_minute - before:
        if hours.opened is None:
            raise Refused(_before(day, said, minute), field="opened")
        _check_explains(hours.opened <= minute, minute, "opened")
        change(entry, day, opens_minute=hours.opened)
    elif after is not None and minute > day.closes_minute + after:
        if hours.closed is None:
            raise Refused(_after(day, said, minute), field="closed")
        _check_explains(hours.closed >= minute, minute, "closed")
        change(entry, day, closes_minute=hours.closed)


def _before(day: MarketDay, said: Said, minute: int) -> str:
    words = _times(day, minute)
    if said is Said.OUT:
        return _("It opens at %(opens)s, and this says %(minute)s. Did it run out before?") % words
    if said is Said.ON_THE_TABLE:
        return _("It opens at %(opens)s, and this says %(minute)s. Was more put on the table before?") % words
    if said is Said.COUNTED:
        return _("It opens at %(opens)s, and this says %(minute)s. Was it sold before?") % words
    return _("It opens at %(opens)s, and this says %(minute)s. Did it cost that before?") % words


def _after(day: MarketDay, said: Said, minute: int) -> str:
    words = _times(day, minute)
    if said is Said.OUT:
        return _("It closed at %(closes)s, and this says %(minute)s. Did it run out after that?") % words
    if said is Said.ON_THE_TABLE:
        return _("It closed at %(closes)s, and this says %(minute)s. Was more put on the table after that?") % words
    return _("It closed at %(closes)s, and this says %(minute)s. Did it cost that after closing?") % words


def _times(day: MarketDay, minute: int) -> Mapping[str, str]:
    return {
        "opens": clock_of(day.opens_minute),
        "closes": clock_of(day.closes_minute),
        "minute": clock_of(minute),
    }


def _check_explains(is_so: bool, minute: int, field: str) -> None:
    if not is_so:
        words = {"minute": clock_of(minute)}
        if field == "opened":
            raise Refused(_("It was open by %(minute)s, then: type that time or an earlier one.") % words, field=field)
        raise Refused(_("It was open until %(minute)s, then: type that time or a later one.") % words, field=field)
