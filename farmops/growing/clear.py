"""Clearing: what is left of a planting, or of one of its stays, is taken out, and its places are free from that day."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.days import day_in_words
from farmops.growing.balance import Here, balance_of, begin, check_day, check_standing, take
from farmops.growing.models import Leaving, Planting, Stay
from farmops.growing.room_for import plans_of
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused


def clear_planting(*, saying: Saying, planting: Planting, stay: Stay | None = None) -> Done:
    """Clear a planting on `saying.day`, or what stands in one stay; with the last stay the planting is cleared.

    What was cut of it stays as it was noted; what was still expected of it is not expected any more.

    Raises
    ------
    Refused
        If it is not standing, or its plants came in only after that day.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        fresh = begin(entry, saying, planting.pk)
        check_standing(fresh)
        balance = balance_of(fresh)
        here = [one for one in balance.here if stay is None or one.stay.pk == stay.pk]
        if stay is not None and not here:
            raise Refused(_("No plants are left in %(where)s: somebody took them since.") % {"where": stay.space.name})
        check_day(saying, (fresh.sown_on, _("%(code)s was sown") % {"code": fresh.code}), *map(_came, here))
        for one in here:
            take(entry, one, one.plants, Leaving.How.CLEARED, saying.day)
        is_last = len(here) == len(balance.here)
        if is_last:
            change(entry, fresh, cleared_on=saying.day)
            for plan in plans_of(fresh):
                change(entry, plan, is_over=True)
        plants = sum(one.plants for one in here)
        return _said(saying, fresh, plants, stay), {"planting": fresh.pk, "plants": plants, "is_last": is_last}

    return do_once(saying, Job.CLEAR, write)


def _came(here: Here) -> tuple[date, str]:
    return here.stay.from_on, _("They came into %(space)s") % {"space": here.stay.space.name}


def _said(saying: Saying, planting: Planting, plants: int, stay: Stay | None) -> str:
    """Cleared P26-184 Genovese, Mon 4 May 2026: 12 plants taken out of N-3."""
    said = _("Cleared %(code)s %(variety)s, %(day)s") % {
        "code": planting.code,
        "variety": planting.variety.name,
        "day": day_in_words(saying.day),
    }
    if stay is not None:
        more = ngettext("%(n)d plant taken out of %(space)s", "%(n)d plants taken out of %(space)s", plants)
        return f"{said}: {more % {'n': plants, 'space': stay.space.name}}"
    more = ngettext("%(n)d plant taken out", "%(n)d plants taken out", plants)
    return f"{said}: {more % {'n': plants}}" if plants else said
