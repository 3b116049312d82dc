"""Do not cut before: the grower's own wait for a planting, or for one stay and wherever its plants go."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from farmops.farm.days import farm_zone
from farmops.growing.balance import begin, check_day, check_standing
from farmops.growing.models import Planting, Stay
from farmops.journal.deed import Done, Saying, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.waiting.models import DoNotCut
from farmops.waiting.wait_words import wait_in_words


def do_not_cut(
    *,
    saying: Saying,
    planting: Planting,
    reason: str,
    stay: Stay | None = None,
    before_day: date | None = None,
    before_minute: int = 0,
) -> Done:
    """Stop cutting of a planting or a stay until a day and hour; without a day until it is lifted.

    Parameters
    ----------
    saying : Saying
    planting : Planting
    reason : str
    stay : Stay or None
        None: all of the planting, wherever it stands.
    before_day : date or None
    before_minute : int in 0..1439
        By the farm's clock. [min after midnight]

    Raises
    ------
    Refused
        If nobody says why, the moment is over already, or the planting is not standing.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        fresh = begin(entry, saying, planting.pk)
        check_standing(fresh)
        check_day(saying, (fresh.sown_on, _("%(code)s was sown") % {"code": fresh.code}))
        zone = farm_zone()
        before = None if before_day is None else latest_instant(before_day, before_minute, zone)
        check_wait(saying, fresh, reason, stay, before)
        wait = DoNotCut(planting=fresh, stay=stay, before=before, reason=reason.strip(), entry=entry)
        save(wait)
        return said_of(wait, zone), {"planting": fresh.pk, "wait": wait.pk}

    return do_once(saying, Job.WAIT, write)


def latest_instant(day: date, minute: int, zone: ZoneInfo) -> datetime:
    """The instant of a clock time; where the clock shows it twice the second, so that nothing is cut an hour early.

    Raises
    ------
    ValueError
        If the minute is not 0 to 1439.
    """
    if not 0 <= minute < 24 * 60:
        raise ValueError(f"minutes after midnight are 0 to 1439, got {minute}")
    shown = datetime.combine(day, time(minute // 60, minute % 60), zone)
    return max(shown.replace(fold=fold).astimezone(UTC) for fold in (0, 1))


def check_wait(saying: Saying, planting: Planting, reason: str, stay: Stay | None, before: datetime | None) -> None:
    """Everything that can be said against a wait; writes nothing."""
    if not reason.strip():
        raise Refused(_("Say why it must not be cut."), field="reason")
    if stay is not None and stay.planting_id != planting.pk:
        raise Refused(_("%(code)s does not stand there.") % {"code": planting.code}, field="stay")
    if before is not None and before <= min(saying.said_at, saying.now):
        raise Refused(_("That moment is over already. Choose a later one."), field="before_day")
    if before is not None and before > saying.now + timedelta(days=366):
        raise Refused(_("That is more than a year ahead. Is the year right?"), field="before_day")


def said_of(wait: DoNotCut, zone: ZoneInfo) -> str:
    """Do not cut P26-184 Genovese in F-7 before Thu 10 Sep 2026, 16:30: soap spray."""
    return wait_in_words(
        f"{wait.planting.code} {wait.planting.variety.name}",
        spaces=[wait.stay.space.name] if wait.stay is not None else (),
        until=wait.before,
        reason=wait.reason,
        is_own=True,
        zone=zone,
    )
