"""What plantings gave: weighed, counted, and reckoned from counts where nobody weighed; the last is marked as such."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from farmops.core.quantities import Weighed
from farmops.growing.models import Planting
from farmops.harvest.models import Pick


@dataclass(slots=True)
class Given:
    """All that one planting gave.

    Attributes
    ----------
    first_on : date or None
        When it was first cut, whatever was planned.
    counted : mapping of unit to count
        Heads stay heads.
    weight : Weighed
        What was weighed, and apart from it what counts alone come to.
    """

    first_on: date | None = None
    counted: dict[str, int] = field(default_factory=dict)
    weight: Weighed = field(default_factory=Weighed)


def given_by(
    plantings: Iterable[Planting], *, each_ng: Mapping[str, int] | None = None, until: date | None = None
) -> dict[int, Given]:
    """What each planting gave, by its key. One query.

    Parameters
    ----------
    plantings : iterable of Planting
    each_ng : mapping of unit to mass
        What one head or bunch usually weighs; without it counts have no weight. [ng]
    until : date or None
        Picks up to and with this day.
    """
    given = {planting.pk: Given() for planting in plantings}
    for pick in Pick.objects.live().filter(planting__in=list(given), picked_on__lte=until or date.max):
        one = given[pick.planting_id]
        one.first_on = min(one.first_on or pick.picked_on, pick.picked_on)
        if pick.count is not None:
            one.counted[pick.count_unit] = one.counted.get(pick.count_unit, 0) + pick.count
        one.weight += _weight(pick, each_ng or {})
    return given


def _weight(pick: Pick, each_ng: Mapping[str, int]) -> Weighed:
    if pick.mass_ng is not None:
        return Weighed(weighed_ng=pick.mass_ng)
    return Weighed(estimated_ng=(pick.count or 0) * each_ng.get(pick.count_unit, 0))
