"""What the grower sees walking past; it overrides every figure, with who and when."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.unit_words import unit_of_many
from farmops.growing.balance import begin, check_day, check_standing
from farmops.growing.models import Planting, Stay, Walk
from farmops.growing.pace import paces_of
from farmops.journal.deed import Done, Saying, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused

MOST_DAYS_OFF = Decimal(120)  # a planting four months late is another planting


@dataclass(frozen=True, slots=True)
class LastSeen:
    """What was seen the last time, by whom and when."""

    day: date
    words: str
    by: str


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen; at least one of it.

    Attributes
    ----------
    ready : Decimal or None
        About so much can be cut now, as cut, in the unit of its schedule.
    days_late : Decimal or None
        Against the plan; below 0 it is early. [d]
    """

    is_as_planned: bool = False
    ready: Decimal | None = None
    days_late: Decimal | None = None
    is_finished: bool = False


def walk_past(*, saying: Saying, planting: Planting, seen: Seen, stay: Stay | None = None) -> Done:
    """Note what was seen of a planting, or of one of its stays, on `saying.day`.

    Raises
    ------
    Refused
        If it is not standing, or what was seen cannot be.
    """

    def write(entry: Entry) -> tuple[str, dict[str, object]]:
        fresh = begin(entry, saying, planting.pk)
        check_standing(fresh)
        check_day(saying, (fresh.sown_on, _("%(code)s was sown") % {"code": fresh.code}))
        check_seen(seen)
        walk = Walk(
            planting=fresh,
            stay=stay,
            seen_on=saying.day,
            is_as_planned=seen.is_as_planned,
            ready=seen.ready,
            days_late=seen.days_late,
            is_finished=seen.is_finished,
            entry=entry,
        )
        save(walk)
        return _said(fresh, stay, seen), {"planting": fresh.pk, "walk": walk.pk}

    return do_once(saying, Job.WALK, write)


def check_seen(seen: Seen) -> None:
    """Whether it can be so, said in words where not."""
    if not (seen.is_as_planned or seen.is_finished or seen.ready is not None or seen.days_late is not None):
        raise Refused(_("Say what you saw: as planned, so much ready, days late, or finished."))
    if seen.is_as_planned and (seen.is_finished or seen.days_late):
        raise Refused(_("As planned is neither late nor finished. Say one of them."))
    if seen.ready is not None and seen.ready < 0:
        raise Refused(_("Less than nothing cannot be ready."), field="ready")
    if seen.days_late is not None and abs(seen.days_late) > MOST_DAYS_OFF:
        raise Refused(_("That is more than four months off. Is it another planting?"), field="days_late")


def last_seen(planting: Planting, today: date, unit: str) -> LastSeen | None:
    """The latest walk past a planting. One query."""
    rows = Walk.objects.live().filter(planting=planting, seen_on__lte=today).select_related("entry__by")
    walk = rows.order_by("-seen_on", "-pk").first()
    if walk is None:
        return None
    seen = Seen(walk.is_as_planned, walk.ready, walk.days_late, walk.is_finished)
    return LastSeen(walk.seen_on, seen_in_words(seen, unit), walk.by_name or str(walk.entry.by or ""))


def unit_of(planting: Planting) -> str:
    """What `ready` counts: the unit of the planting's schedule; plants where it has none. Two queries."""
    pace = paces_of([planting]).get(planting.pk)
    return pace.schedule.unit if pace is not None else _("plants")


def _said(planting: Planting, stay: Stay | None, seen: Seen) -> str:
    """P26-184 Genovese: about 80 heads ready, 5 days late."""
    where = f" {stay.space.name}" if stay is not None else ""
    words = seen_in_words(seen, unit_of(planting) if seen.ready is not None else "")
    return f"{planting.code} {planting.variety.name}{where}: {words}"


def seen_in_words(seen: Seen, unit: str) -> str:
    """As planned; about 80 heads ready, 5 days late; finished."""
    parts = []
    if seen.is_as_planned:
        parts.append(_("as planned"))
    if seen.ready is not None:
        many = unit if seen.ready == 1 else unit_of_many(unit)
        parts.append(_("about %(ready)s %(unit)s ready") % {"ready": _figure(seen.ready), "unit": many})
    if seen.days_late:
        parts.append(_days_in_words(seen.days_late))
    elif seen.days_late is not None:
        parts.append(_("on its day"))
    if seen.is_finished:
        parts.append(_("finished"))
    return ", ".join(parts)


def _figure(figure: Decimal) -> str:
    """80, not 80.0000."""
    text = f"{figure:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _days_in_words(days_late: Decimal) -> str:
    days, one_or_more = _figure(abs(days_late)), 1 if abs(days_late) == 1 else 2
    if days_late > 0:
        return ngettext("%(n)s day late", "%(n)s days late", one_or_more) % {"n": days}
    return ngettext("%(n)s day early", "%(n)s days early", one_or_more) % {"n": days}
