"""Answers kept with the newest entry they know of: a page shows them at once and says how old they are.

An answer is worked out when somebody asks for it, never by opening a page: a refit and a solver take seconds. It is
worked out from the last two years, so that ten years of records cost little more than two.
"""

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.journal.models import Entry
from farmops.planning.models import StoredAnswer

HISTORY = timedelta(days=730)  # each season twice; older days say little of today's customers, varieties and light
Json = dict[str, Any]  # what becomes a JSON object
_locks = {str(kind): threading.Lock() for kind in StoredAnswer.Kind.values}


class BeingWorkedOut(Exception):
    """Somebody asked for the same a moment ago; it is on its way."""


@dataclass(frozen=True, slots=True)
class Stored:
    """An answer as it lies there.

    Attributes
    ----------
    as_of : date
        Records of later days were left out.
    made_at : datetime
    last_entry : int
        Newest entry it knows of.
    since : int
        Entries made after it, those left out that only say what was chosen on the sowing list.
    answer : mapping
    """

    as_of: date
    made_at: datetime
    last_entry: int
    since: int
    answer: Mapping[str, Any]

    def is_old(self, today: date) -> bool:
        """Whether something was written down since, or a day has passed."""
        return self.since > 0 or self.as_of < today

    @property
    def age_in_words(self) -> str:
        """What came since it was worked out."""
        if not self.since:
            return _("Nothing was written down since.")
        return ngettext(
            "%(count)d entry since: work it out again.", "%(count)d entries since: work it out again.", self.since
        ) % {"count": self.since}


def newest_entry() -> int:
    """Number of the newest entry; 0 where there is none."""
    return Entry.objects.order_by("-pk").values_list("pk", flat=True).first() or 0


def stored(kind: str, about: str = "") -> Stored | None:
    """The answer that lies there; None where it was never worked out. Two queries."""
    one = next(iter(StoredAnswer.objects.filter(kind=kind, about=about)), None)  # one of a kind, so in no order
    if one is None:
        return None
    since = Entry.objects.filter(pk__gt=one.last_entry, sowing_choices=None).count()
    return Stored(one.as_of, one.made_at, one.last_entry, since, one.answer)


def kept_answer(kind: str, about: str = "") -> Mapping[str, Any] | None:
    """What was worked out, where nobody asks how old it is; None where it never was. One query."""
    return next(iter(StoredAnswer.objects.filter(kind=kind, about=about).values_list("answer", flat=True)), None)


def work_out(kind: str, make: Callable[[], Json], *, as_of: date, now: datetime, about: str = "") -> Stored:
    """Work an answer out and keep it in the place of the one before.

    Entries made while it is worked out count as made since: what they say may have been read or not.

    Raises
    ------
    BeingWorkedOut
        If this server works out an answer of this kind at the moment.
    """
    lock = _locks[str(kind)]
    if not lock.acquire(blocking=False):
        raise BeingWorkedOut
    try:
        newest = newest_entry()
        return keep(kind, make(), as_of=as_of, now=now, last_entry=newest, about=about)
    finally:
        lock.release()


def keep(kind: str, answer: Json, *, as_of: date, now: datetime, last_entry: int, about: str = "") -> Stored:
    """Keep an answer in the place of the one before; `last_entry` is the newest it knows of."""
    facts = {"as_of": as_of, "made_at": now, "last_entry": last_entry, "answer": answer}
    StoredAnswer.objects.update_or_create(kind=kind, about=about, defaults=facts)
    return Stored(as_of, now, last_entry, 0, answer)
