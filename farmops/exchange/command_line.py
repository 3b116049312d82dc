"""What the commands share: days as people write them, and words that survive any terminal."""

import sys
from argparse import ArgumentTypeError
from datetime import date

from django.utils.translation import gettext as _

from farmops.planning.day_range import FIRST_DAY, LAST_DAY


def a_day(text: str) -> date:
    """A date as 2026-04-03, within the years that can be reckoned with."""
    try:
        day = date.fromisoformat(text)
    except ValueError as error:
        raise ArgumentTypeError(_("%(text)s is no day; write it as 2026-09-12") % {"text": text[:40]}) from error
    if not FIRST_DAY <= day <= LAST_DAY:
        words = {"text": text, "first": FIRST_DAY, "last": LAST_DAY}
        raise ArgumentTypeError(_("%(text)s cannot be meant; days go from %(first)s to %(last)s") % words)
    return day


def write_utf8() -> None:
    """Let answers and faults be written as UTF-8, whatever the terminal is set to."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8")
