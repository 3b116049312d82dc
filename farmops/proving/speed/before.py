"""What may have happened just before a page is asked for."""

from collections.abc import Callable

from farmops import clock
from farmops.farm.days import farm_today
from farmops.farm.forms import new_key
from farmops.journal.models import Entry, Job, Source
from farmops.planning.standing_now import forget


def nothing() -> None:
    """What stands is remembered from the page before."""


def an_entry() -> None:
    """Somebody wrote something down, so what stands is worked out anew."""
    now = clock.now()
    Entry.objects.create(
        once_key=new_key(), body_hash="", job=Job.SET, source=Source.PAGE, farm_day=farm_today(), said_at=now,
        received_at=now, said="measured",
    )  # fmt: skip


def the_night() -> None:
    """The first page of the day: the farm's own pace is learned anew, too."""
    forget()


BEFORE: dict[str, Callable[[], None]] = {"": nothing, "after an entry": an_entry, "first of the day": the_night}
