"""A time of the day as typed, and as it is read."""

import re

from django.utils.translation import gettext as _

from farmops.journal.refusal import Refused

_CLOCK = re.compile(r"\s*(?P<hour>\d{1,2})\s*[:.hH]?\s*(?P<minute>\d{2})\s*(?P<half>[ap])?\.?m?\.?\s*", re.I)
_NOON = 12


def minute_typed(typed: str, *, field: str = "time") -> int:
    """Minutes after midnight of 11:40, 1140, 11.40, 1:15 pm.

    Raises
    ------
    Refused
        If it is no time of the day.
    """
    match = _CLOCK.fullmatch(typed)
    hour, minute = (int(match["hour"]), int(match["minute"])) if match else (24, 0)
    if match and match["half"]:
        hour = hour % _NOON + (_NOON if match["half"].lower() == "p" else 0) if 1 <= hour <= _NOON else 24
    if hour > 23 or minute > 59:
        raise Refused(_("“%(typed)s” is no time. Type it like 11:40.") % {"typed": typed.strip()}, field=field)
    return hour * 60 + minute


def clock_of(minute: int) -> str:
    """11:40."""
    return f"{minute // 60:02d}:{minute % 60:02d}"
