"""Days on which the whole farm or one outlet sells nothing: what is noted, and opened again."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words
from farmops.farm.models import ClosedDays
from farmops.farm.row_moves import take_out
from farmops.growing.natural_order import natural_key
from farmops.journal.deed import Done, Saying, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.planning.copy_year import Rest
from farmops.planning.copy_year_write import write_closed
from farmops.selling.models import MarketDay, Outlet, OutletClosedDays

Answer = tuple[str, Mapping[str, object]]
FARM, OUTLET = "farm", "outlet"
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class ClosedLine:
    """Closed days that are not over; `kind` and `number` name their row, `whose` is empty for the whole farm."""

    kind: str
    number: int
    whose: str
    first_on: date
    last_on: date
    reason: str


def closed_lines(today: date) -> list[ClosedLine]:
    """Soonest first. Two queries."""
    whole = [
        ClosedLine(FARM, one.pk, "", one.first_on, one.last_on, one.reason)
        for one in ClosedDays.objects.filter(last_on__gte=today)
    ]
    own = [
        ClosedLine(OUTLET, one.pk, one.outlet.name, one.first_on, one.last_on, one.reason)
        for one in OutletClosedDays.objects.filter(last_on__gte=today).select_related("outlet")
    ]
    return sorted((*whole, *own), key=lambda one: (one.first_on, one.last_on, natural_key(one.whose), one.number))


def close_days(*, saying: Saying, outlet: Outlet | None, first_on: date, last_on: date, reason: str = "") -> Done:
    """Note closed days of an outlet, or of the whole farm. Plantings and market days on the list stay as they are.

    Raises
    ------
    Refused
        If the last comes before the first, or just these are noted already.
    """

    def write(entry: Entry) -> Answer:
        if last_on < first_on:
            raise Refused(_("The last closed day must not come before the first."), field="last_on")
        list(Outlet.objects.select_for_update(no_key=True).order_by("pk"))
        rows = ClosedDays.objects.all() if outlet is None else OutletClosedDays.objects.filter(outlet=outlet)
        if rows.filter(first_on=first_on, last_on=last_on).exists():
            raise Refused(_("That is noted already."), field="first_on")
        write_closed(entry, Rest(outlet, first_on, last_on, reason.strip()))
        said = _("%(name)s closed %(days)s") % {"name": _name(outlet), "days": _days(first_on, last_on)}
        return said + _still_listed(outlet, first_on, last_on), {}

    return do_once(saying, Job.SET, write)


def open_again(*, saying: Saying, kind: str, number: int) -> Done:
    """Take closed days away: it is open then.

    Raises
    ------
    Refused
        If they were taken away already.
    """

    def write(entry: Entry) -> Answer:
        rows = ClosedDays.objects if kind == FARM else OutletClosedDays.objects.select_related("outlet")
        row = rows.select_for_update(no_key=True, of=("self",)).filter(pk=number).first()
        if row is None:
            raise Refused(_("These days are open again already."))
        first_on, last_on, outlet = row.first_on, row.last_on, getattr(row, "outlet", None)
        take_out(entry, row)
        return _("%(name)s open again %(days)s") % {"name": _name(outlet), "days": _days(first_on, last_on)}, {}

    return do_once(saying, Job.SET, write)


def _name(outlet: Outlet | None) -> str:
    return outlet.name if outlet else _("The whole farm")


def _days(first: date, last: date) -> str:
    if first == last:
        return day_in_words(first)
    return _("%(first)s to %(last)s") % {"first": day_in_words(first), "last": day_in_words(last)}


def _still_listed(outlet: Outlet | None, first: date, last: date) -> str:
    """Market days on the list that fall on these days: they count no more, and are to be called off."""
    days = MarketDay.objects.filter(
        held_on__gte=first, held_on__lte=last, entry__corrected_by=None, status=MarketDay.Status.PLANNED
    ).select_related("outlet")
    if outlet is not None:
        days = days.filter(outlet=outlet)
    found = sorted(days, key=lambda one: (one.held_on, natural_key(one.outlet.name)))
    if not found:
        return ""
    named = [f"{one.outlet.name} {day_in_words(one.held_on)}" for one in found[:MOST_NAMED]]
    more = " …" if len(found) > MOST_NAMED else ""
    return _("; on the list still: %(days)s") % {"days": ", ".join(named) + more}
