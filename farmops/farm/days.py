"""The farm's days: one function from an instant to the day it belongs to, and one back.

Days are the farm's own, not the server's and not the phone's: an evening entry belongs to the evening's day.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from farmops import clock
from farmops.farm.models import Farm

WEEKDAYS = {
    "mon": _("Monday"),
    "tue": _("Tuesday"),
    "wed": _("Wednesday"),
    "thu": _("Thursday"),
    "fri": _("Friday"),
    "sat": _("Saturday"),
    "sun": _("Sunday"),
}
_asked: ContextVar[tuple[Farm | None] | None] = ContextVar("farm", default=None)


def the_farm() -> Farm | None:
    """The farm; None while there is none yet."""
    asked = _asked.get()
    return Farm.objects.first() if asked is None else asked[0]


def farm_zone() -> ZoneInfo:
    """The farm's time zone; the setting's while there is no farm yet."""
    farm = the_farm()
    return ZoneInfo(farm.time_zone if farm else settings.TIME_ZONE)


@contextmanager
def in_farm_zone() -> Iterator[ZoneInfo]:
    """Ask once for the farm; within, days and times are the farm's without asking again."""
    token = _asked.set((the_farm(),))
    try:
        zone = farm_zone()
        with timezone.override(zone):
            yield zone
    finally:
        _asked.reset(token)


def farm_day(instant: datetime, zone: ZoneInfo | None = None) -> date:
    """The farm's day of an instant.

    Raises
    ------
    ValueError
        If the instant does not say its zone.
    """
    if instant.tzinfo is None:
        raise ValueError(f"an instant needs its zone, got {instant}")
    return instant.astimezone(zone or farm_zone()).date()


def day_in_words(day: date) -> str:
    """Sat 5 Sep 2026: a day that cannot be read two ways."""
    return date_format(day, "D j M Y")


def farm_today() -> date:
    """The farm's day now."""
    return farm_day(clock.now())


def minute_of(instant: datetime, zone: ZoneInfo | None = None) -> int:
    """Minutes after midnight on the farm's clock."""
    there = instant.astimezone(zone or farm_zone())
    return there.hour * 60 + there.minute


def instant_of(day: date, minute: int, zone: ZoneInfo | None = None) -> datetime:
    """The instant of a clock time of a day; 1440 is the midnight that ends it. In UTC.

    A time that the clocks jump over in spring is the instant as far after the jump; one that comes twice in autumn is
    the first of the two.

    Raises
    ------
    ValueError
        If the minute is not 0 to 1440.
    """
    if not 0 <= minute <= 1440:
        raise ValueError(f"minutes after midnight are 0 to 1440, got {minute}")
    midnight = day + timedelta(days=minute // 1440)
    clock = time(minute % 1440 // 60, minute % 60)
    return datetime.combine(midnight, clock, zone or farm_zone()).astimezone(UTC)
