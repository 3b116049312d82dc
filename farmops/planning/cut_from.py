"""What a pick must know of a planting: when it should be ready, what it must wait for, what it usually gives."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import Avg

from farmops.core.quantities import NG, is_mass, unit_name
from farmops.farm.days import farm_zone
from farmops.growing.models import Planting, Stay, Walk
from farmops.harvest.models import Pick
from farmops.harvest.pick_crop import CutFrom
from farmops.journal.models import Entry
from farmops.planning.from_tables import growing_rows
from farmops.planning.picking import blocked_on
from farmops.planning.standing import OWN_DAYS, growing_of


@dataclass(frozen=True, slots=True)
class Usual:
    """What a planting gives at once, roughly; far more is asked about. [ng, counts]"""

    mass_ng: int | None
    count: int | None


def cut_from(
    parts: Sequence[tuple[Planting, int]], *, day: date, stay: Stay | None = None, corrects: Entry | None = None
) -> list[CutFrom]:
    """The plantings of one crate with what is known of each on that day; the first may say where it was cut.

    Parameters
    ----------
    parts : sequence of (Planting, share)
    day : date
    stay : Stay or None
    corrects : Entry or None
        The pick that is replaced; it tells nothing of when the planting was ready.
    """
    found = [CutFrom(planting=planting, share=share) for planting, share in parts]
    found[0] = replace(found[0], stay=stay)
    keys = [part.planting.pk for part in found]
    proven = _proven_ready(keys, day, corrects)
    if set(keys) <= proven:
        return found
    return found


def usual_of(planting: Planting) -> Usual:
    """By what it gave so far; before its first pick by all its plants could give."""
    given = Pick.objects.live().filter(planting=planting).aggregate(mass=Avg("mass_ng"), count=Avg("count"))
    mass_ng, count = given["mass"], given["count"]
    schedule = planting.schedule
    if schedule is not None:
        all_of_it = planting.plants * schedule.units_per_plant
        if is_mass(schedule.unit):
            mass_ng = mass_ng or all_of_it * NG[unit_name(schedule.unit)]
        else:
            count = count or all_of_it
    return Usual(int(mass_ng) if mass_ng else None, int(count) if count else None)
