"""Varieties set on a page: what is grown, and what is sown of it at once."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from farmops.farm.row_moves import bring_in
from farmops.farm.typed_figures import cents_text, cents_typed, month_day_typed, name_of, whole_number
from farmops.growing.models import Variety
from farmops.growing.plan_sowing import MOST_PLANTS
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused

USUAL_PART, USUAL_PLANTS = "tray", 72  # as where a sheet says nothing


def add_variety(*, saying: Saying, name: str, **typed: str) -> Done:
    """A variety of a new name; `typed` as for `change_variety`.

    Raises
    ------
    Refused
        If there is one of that name, or a figure cannot be.
    """
    called = name_of(name)
    if not called:
        raise Refused(_("Type its name, e.g. green butterhead."), field="name")
    facts = _facts(**typed)

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        if Variety.objects.filter(name__iexact=called).exists():
            raise Refused(_("There is a variety %(name)s already.") % {"name": called}, field="name")
        variety = Variety(name=called, **facts)
        bring_in(entry, variety)
        return _("%(name)s is grown from now on") % {"name": called}, {"variety": variety.pk}

    return do_once(saying, Job.SET, write)


def change_variety(*, saying: Saying, variety: Variety, **typed: str) -> Done:
    """Other facts from now on.

    Parameters
    ----------
    typed : str
        As typed: crop, category, part, part_plants, part_cost, sow_first, sow_last.

    Raises
    ------
    Refused
        If a figure cannot be.
    """
    facts = _facts(**typed)

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        fresh = Variety.objects.select_for_update(no_key=True).get(pk=variety.pk)
        change(entry, fresh, **facts)
        return _("%(name)s changed") % {"name": fresh.name}, {"variety": fresh.pk}

    return do_once(saying, Job.SET, write)


def typed_of(variety: Variety) -> dict[str, str]:
    """What a form would have to say to leave it as it is."""
    return {
        "crop": variety.crop,
        "category": variety.category,
        "part": variety.part,
        "part_plants": str(variety.part_plants),
        "part_cost": cents_text(variety.part_cost_cents),
        "sow_first": variety.sow_first,
        "sow_last": variety.sow_last,
    }


def _facts(
    *, crop: str, category: str, part: str, part_plants: str, part_cost: str, sow_first: str, sow_last: str
) -> dict[str, object]:
    if not name_of(crop):
        raise Refused(_("Type the crop it belongs to, e.g. lettuce."), field="crop")
    return {
        "crop": name_of(crop),
        "category": name_of(category),
        "part": name_of(part) or USUAL_PART,
        "part_plants": whole_number(part_plants, field="part_plants", most=MOST_PLANTS, empty=USUAL_PLANTS),
        "part_cost_cents": cents_typed(part_cost, field="part_cost"),
        "sow_first": month_day_typed(sow_first, field="sow_first"),
        "sow_last": month_day_typed(sow_last, field="sow_last"),
    }
