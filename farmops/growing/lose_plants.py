"""Plants that died or were thrown away, taken from where they stood."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.growing.balance import balance_of, begin, check_day, check_plants, check_standing, take
from farmops.growing.models import Leaving, Stay
from farmops.journal.deed import Done, Saying, do_once
from farmops.journal.models import Entry, Job


def lose_plants(*, saying: Saying, stay: Stay, plants: int, cause: str = "") -> Done:
    """Note that so many plants of a stay are lost.

    Raises
    ------
    Refused
        If they were not there on that day, the planting is not standing, or more are named than are left.
    """

    def write(entry: Entry) -> tuple[str, dict[str, object]]:
        planting = begin(entry, saying, stay.planting_id)
        check_standing(planting)
        check_day(saying, (stay.from_on, _("They came in")))
        balance = balance_of(planting)
        check_plants(plants, balance.plants_in(stay), stay.space.name)
        here = next(here for here in balance.here if here.stay.pk == stay.pk)
        take(entry, here, plants, Leaving.How.LOST, saying.day, cause)
        said = ngettext(
            "Lost %(plants)d plant of %(code)s in %(space)s",
            "Lost %(plants)d plants of %(code)s in %(space)s",
            plants,
        ) % {"plants": plants, "code": planting.code, "space": stay.space.name}
        return said, {"planting": planting.pk, "stay": stay.pk, "left": here.plants - plants}

    return do_once(saying, Job.LOSE, write)
