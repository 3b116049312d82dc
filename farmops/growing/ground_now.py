"""What stands on the whole farm today: read once after each entry, then remembered for the pages.

Deeds never ask here: they read what they rest on themselves, under their lock.
"""

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from farmops.growing.balance import Balance, balance_of
from farmops.growing.ground import Ground, ground_of
from farmops.growing.models import Planting, Space
from farmops.growing.natural_order import walking_key
from farmops.journal.models import Entry

MOST = 300  # things kept at once
LATE = 20  # an entry may be stored after one with a later number, where several are written at once

Key = tuple[date, tuple[tuple[int, str], ...]]
R = TypeVar("R")


def key_now(today: date) -> Key:
    """What tells whether anything was noted since. One query."""
    return today, tuple(Entry.objects.order_by("-pk").values_list("pk", "once_key")[:LATE])


def remembered(what: str, today: date, work: Callable[[], R], *, key: Key | None = None) -> R:
    """What `work` gives; worked out anew only on another day, or where an entry was made since.

    `key`: of this moment, where it is known already; else it is asked for.
    """
    key = key or key_now(today)
    known = _known.get(what)
    if known is None or known[0] != key:
        if len(_known) >= MOST:
            _known.clear()
        known = _known[what] = key, work()
    found: R = known[1]  # type: ignore[assignment]  # what was kept under this name came from such work
    return found


def ground_now(today: date, *, key: Key | None = None) -> Ground:
    """All spaces, in walking order, with what stands there or is planned to. One query where nothing changed."""

    def read() -> Ground:
        return ground_of(sorted(Space.objects.select_related("kind"), key=walking_key), today)

    return remembered("ground", today, read, key=key)


def balance_now(planting: Planting, today: date) -> Balance:
    """A planting's balance, from what is remembered where it stands in a space."""
    found = ground_now(today).balances.get(planting.pk)
    return found if found is not None else balance_of(planting)


def forget() -> None:
    """As if nothing had been read yet."""
    _known.clear()


_known: dict[str, tuple[Key, object]] = {}
