"""Which picks were cut while their plants had to wait: asked of records that were not made at the cutting."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

from django.db.models import Q, QuerySet

from farmops.farm.days import farm_zone, instant_of
from farmops.harvest.models import Pick
from farmops.waiting.models import DoNotCut, Treatment
from farmops.waiting.waits_for import Wait, waits_for

MORE = 2  # days: the end of the day counts where no time was noted, and hours run over midnight
HOURS = 24


def picks_inside_waits(picks: QuerySet[Pick]) -> Iterator[tuple[Pick, Wait]]:
    """Each pick that was cut inside a wait, with the longest. Six queries for each moment of a pick that may be one.

    A pick without a time counts from the first of its day, so that no wait is overlooked.
    """
    during = _during()
    if not during:
        return
    zone = farm_zone()
    by_moment: dict[datetime, list[Pick]] = defaultdict(list)
    for pick in picks.filter(during).select_related("planting", "lot").order_by("pk"):
        by_moment[instant_of(pick.picked_on, pick.minute or 0, zone)].append(pick)
    for moment, cut in sorted(by_moment.items(), key=lambda one: one[0].astimezone(UTC)):
        waits = waits_for({pick.planting_id: pick.planting for pick in cut}.values(), moment)
        for pick in cut:
            wait = waits[pick.planting_id].longest(pick.stay_id)
            if wait is not None:
                yield pick, wait


def _during() -> Q:
    """Days on which somebody had to wait for something."""
    found = Q()
    for ended, days, hours in Treatment.objects.live().values_list("ended_on", "harvest_days", "entry_hours"):
        if days is None:
            found |= Q(picked_on__gte=ended)
        else:
            found |= _between(ended, ended + timedelta(days=max(days, int((hours or 0) // HOURS)) + MORE))
    for before, day in DoNotCut.objects.live().values_list("before", "entry__farm_day"):
        found |= Q(picked_on__gte=day) if before is None else _between(day, before.date() + timedelta(days=MORE))
    return found


def _between(first: date, last: date) -> Q:
    return Q(picked_on__gte=first, picked_on__lte=last)
