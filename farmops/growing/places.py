"""Places of a space, who takes them from when to when, what is free on every day ahead, and what clashes.

The day of coming in is counted, the day of going out is not: out in the morning, the next in on the same day.
"""

import math
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import ngettext

from farmops.core import room
from farmops.core.growth import Place
from farmops.growing.balance import Balance
from farmops.growing.models import Planting, Space, Stay
from farmops.growing.pace import Pace

HARDLY = 1e-6  # places; sums of thirds of a place are not whole


@dataclass(frozen=True, slots=True)
class Occupant:
    """Plants that take places of a space, or are planned to.

    Attributes
    ----------
    stay : Stay
        With its planting, the variety and the space loaded.
    plants : int
        That stand there now; of a planned stay those still to come.
    places : float
    from_on, to_on : date
        In on the first, out on the second: as planned, else the usual end; next Monday, week by week, once that passed.
    held_since : date or None
        When they were to leave, where that has passed.
    """

    stay: Stay
    plants: int
    places: float
    from_on: date
    to_on: date
    held_since: date | None = None

    @property
    def is_planned(self) -> bool:
        return self.stay.state == Stay.State.PLANNED

    @property
    def stays_on(self) -> bool:
        """Nobody knows until when."""
        return self.to_on == room.NEVER

    @property
    def taking(self) -> room.Stay:
        return room.Stay(str(self.stay.pk), self.places, self.from_on, self.to_on)


@dataclass(frozen=True, slots=True)
class Narrowest:
    """The day on which least is free, with the figures of that day. [places]"""

    day: date
    places: float
    taken: float

    @property
    def free(self) -> float:
        return self.places - self.taken


@dataclass(frozen=True, slots=True)
class Clash:
    """More taken than there is, from one day to the day before another; who is in it, each to be shown it."""

    space: Space
    from_on: date
    to_on: date
    over: float
    stays: tuple[Stay, ...]

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why somebody let it be over-full."""
        return tuple(dict.fromkeys(stay.over_full_because for stay in self.stays if stay.over_full_because))

    @property
    def is_planned(self) -> bool:
        """It comes only if all that is planned is done."""
        return any(stay.state == Stay.State.PLANNED for stay in self.stays)

    @property
    def last_on(self) -> date | None:
        """Its last day; None while nobody knows."""
        return None if self.to_on == room.NEVER else self.to_on - timedelta(days=1)


@dataclass(frozen=True, slots=True)
class SpaceRoom:
    """One space: its places from each day on, and who takes them."""

    space: Space
    capacity: tuple[tuple[date, float], ...]
    occupants: tuple[Occupant, ...]

    def places(self, day: date) -> float:
        return next((places for first, places in reversed(self.capacity) if first <= day), 0.0)

    def taken(self, day: date, without: Collection[int] = ()) -> float:
        return room.taken((one.taking for one in self.occupants if one.stay.pk not in without), day)

    def free(self, day: date) -> float:
        return self.places(day) - self.taken(day)

    def narrowest(self, from_on: date, to_on: date, without: Collection[int] = ()) -> Narrowest:
        """The tightest day of a stretch (its last day not counted), the first of equals; `without` some stays."""
        marks = {one.from_on for one in self.occupants} | {first for first, _places in self.capacity}
        days = sorted({from_on} | {day for day in marks if from_on < day < to_on})
        found = [Narrowest(day, self.places(day), self.taken(day, without)) for day in days]
        return min(found, key=lambda one: (round(one.free, 6), one.day))

    def clashes(self, today: date) -> list[Clash]:
        """Every stretch from today on in which more is taken than there is."""
        by_key = {str(one.stay.pk): one.stay for one in self.occupants}
        return [
            Clash(
                self.space,
                max(found.from_day, today),
                found.to_day,
                found.over,
                tuple(by_key[key] for key in found.keys),
            )
            for found in room.clashes(self.capacity, [one.taking for one in self.occupants])
            if found.to_day > today
        ]


def still_to_come(planned: Stay, balance: Balance, pace: Pace | None) -> int:
    """Plants of a planned stay that have not come yet: never more than stand in stages before it."""
    if planned.planting.state == Planting.State.PLANNED:
        return planned.plants
    came = sum(one.plants for one in balance.here if one.stay.space_id == planned.space_id)
    if planned.came_from_id is not None:
        before = sum(one.plants for one in balance.here if one.stay.pk == planned.came_from_id)
    else:
        here = sum(one.plants for one in balance.here if _comes_before(one.stay, planned, pace))
        before = here + balance.not_placed
    return min(max(planned.plants - came, 0), before)


def _comes_before(stay: Stay, planned: Stay, pace: Pace | None) -> bool:
    if stay.space_id == planned.space_id:
        return False
    one, other = (pace.stage_in(row.space.kind, row.stage_number) if pace else None for row in (stay, planned))
    return one is None or other is None or one.number < other.number


def end_of(
    stay: Stay,
    pace: Pace | None,
    place: Place,
    entered: date | None = None,
    known: dict[tuple[int, date], date] | None = None,
) -> date:
    """When a stay is to end: as planned, else at the usual end of its stage; never, where no schedule says so.

    `known` keeps ends by stage and day of entering, for many stays.
    """
    if stay.planned_to_on is not None:
        return stay.planned_to_on
    stage = pace.stage_in(stay.space.kind, stay.stage_number) if pace is not None else None
    if pace is None or stage is None:
        return room.NEVER
    since = entered or stay.from_on
    if known is None:
        return pace.usual_end(stage, since, place)
    if (stage.pk, since) not in known:
        known[stage.pk, since] = pace.usual_end(stage, since, place)
    return known[stage.pk, since]


def places_of(stay: Stay, plants: int, pace: Pace | None) -> float:
    """Places that so many of a stay's plants take: in proportion to those noted, else by the schedule."""
    if stay.places is not None:
        return float(stay.places) * plants / stay.plants
    stage = pace.stage_in(stay.space.kind, stay.stage_number) if pace is not None else None
    return plants / float(stage.plants_per_place) if stage is not None else float(plants)


def plants_that_fit(free: float, plants_per_place: float) -> int:
    """Whole plants that find room in so many free places."""
    return max(math.floor(free * plants_per_place + HARDLY), 0)


def places_text(places: float) -> str:
    """18; 1.67: places as people say them."""
    return f"{places:.2f}".rstrip("0").rstrip(".")


def places_in_words(places: float) -> str:
    """18 places; 1 place; 1.67 places."""
    number = places_text(places)
    return ngettext("%(n)s place", "%(n)s places", 1 if number == "1" else 2) % {"n": number}
