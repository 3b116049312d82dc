"""What was done on one farm day: every entry, what it took back or corrected, by whom and when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Q

from farmops.farm.days import minute_of
from farmops.journal.models import READING, Entry, Job

MOST = 300  # entries on one page; a busy day has about a hundred


@dataclass(frozen=True, slots=True)
class BookLine:
    """One entry as the day book shows it.

    Attributes
    ----------
    minute : int
        When it was said, on the farm's clock. [min after midnight]
    is_live : bool
        Neither taken back nor corrected.
    may_undo : bool
    corrects : str
        What it took back or replaced; empty for an ordinary entry.
    is_reading : bool
        It stands for a whole reading of sheets.
    """

    entry: Entry
    minute: int
    by: str
    is_live: bool
    may_undo: bool
    corrects: str
    is_reading: bool


def day_book(day: date, zone: ZoneInfo) -> Sequence[BookLine]:
    """The newest entries of a farm day, newest first, of a reading of sheets one; `zone` is the farm's."""
    entries = (
        Entry.objects.filter(farm_day=day)
        .exclude(Q(job=Job.READ) & ~Q(once_key__startswith=READING))
        .select_related("by", "corrects", "corrected_by")
        .order_by("-pk")[:MOST]
    )
    return [_line(entry, minute_of(entry.said_at, zone)) for entry in entries]


def _line(entry: Entry, minute: int) -> BookLine:
    is_live = not hasattr(entry, "corrected_by")
    return BookLine(
        entry,
        minute,
        str(entry.by or ""),
        is_live,
        is_live and entry.job != Job.UNDO,
        entry.corrects.said if entry.corrects else "",
        entry.job == Job.READ,
    )
