"""From the form of a sowing to its deed: sown, only planned for a day, or not sown after all."""

from django.utils.translation import gettext as _

from farmops.farm.days import farm_day
from farmops.growing.chosen_spaces import into_of_text, space_named
from farmops.growing.forms import SowForm
from farmops.growing.models import Planting, SeedLot, Variety
from farmops.growing.plan_sowing import give_up_sowing, plan_sowing
from farmops.growing.room_for import Into, spread
from farmops.growing.sow import sow
from farmops.growing.sow_page import rooms_for_sowing
from farmops.journal.deed import Done, Saying
from farmops.journal.refusal import Refused


def note_sowing(saying: Saying, variety: Variety, planned: Planting | None, form: SowForm) -> Done:
    """Do what the pressed button of the form says.

    Raises
    ------
    Refused
        As `sow` and `plan_sowing`; also where a name is not known.
    """
    what, typed = form.cleaned_data["what"], form.cleaned_data
    if what == "give up" and planned is not None:
        return give_up_sowing(saying=saying, planting=planned)
    plants = form.plants_typed(variety.part_plants)
    lot = _lot(typed["seed_lot"])
    into = _into(form, variety, planned, plants, saying)
    if what == "plan" and planned is None:
        if typed["day"] is None or typed["day"] < farm_day(saying.now):
            raise Refused(_("Choose the day it is to be sown."), field="day")
        return plan_sowing(saying=saying, variety=variety, plants=plants, sow_on=saying.day, seed_lot=lot, into=into)
    return sow(
        saying=saying,
        variety=variety,
        plants=plants,
        planned=planned,
        seed_lot=lot,
        into=into,
        over_full_because=typed["over_full_because"],
    )


def _lot(name: str) -> SeedLot | None:
    if not name.strip():
        return None
    lot = SeedLot.objects.filter(name__iexact=name.strip()).first()
    if lot is None:
        raise Refused(_("There is no seed lot %(name)s.") % {"name": name.strip()}, field="seed_lot")
    return lot


def _into(form: SowForm, variety: Variety, planned: Planting | None, plants: int, saying: Saying) -> list[Into]:
    """Where they stand: as the great button says, in the space chosen, or where there is room for all."""
    typed = form.cleaned_data
    if into := into_of_text(typed["into"]):
        return into
    if typed["to_space"].strip():
        return [Into(space_named(typed["to_space"]), plants)]
    rooms, plans, _ready_on = rooms_for_sowing(variety, planned, farm_day(saying.now))
    found = spread(plants, rooms, plans)
    return list(found) if sum(one.plants for one in found) == plants else []
