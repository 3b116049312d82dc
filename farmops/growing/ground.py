"""What stands where, or is planned to: read at once, with the same few queries for one space and for all."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import F

from farmops.core.calendar import WEEK, monday_of
from farmops.core.growth import Place
from farmops.growing.balance import Balance, balances
from farmops.growing.models import Planting, Space, SpaceSpell, Stage, Stay
from farmops.growing.pace import Pace, farm_place, paces_of
from farmops.growing.places import Occupant, SpaceRoom, end_of, places_of, still_to_come


@dataclass(frozen=True, slots=True)
class Ground:
    """Rooms of some spaces, and all that is known of the plantings in them or planned into them.

    Attributes
    ----------
    rooms : mapping of space key to SpaceRoom
    paces, balances : mappings by planting key
    stays : mapping of stay key to Stay
        Of these plantings, wherever they stand, those that are not over; done and planned.
    entered : mapping of stay key to date
        When its plants entered the stage they stand in; moved within a stage they keep its days.
    """

    rooms: Mapping[int, SpaceRoom]
    paces: Mapping[int, Pace]
    balances: Mapping[int, Balance]
    stays: Mapping[int, Stay]
    entered: Mapping[int, date]
    place: Place

    def plans_of(self, planting: int) -> list[Stay]:
        """A planting's planned stays that are not over, in order of their days."""
        found = [
            stay
            for stay in self.stays.values()
            if stay.planting_id == planting and stay.state == Stay.State.PLANNED and not stay.is_over
        ]
        return sorted(found, key=lambda stay: (stay.from_on, stay.pk))


def rooms_of(spaces: Iterable[Space], today: date) -> Mapping[int, SpaceRoom]:
    """Each space's room from today on, by its key. Arguments as for `ground_of`."""
    return ground_of(spaces, today).rooms


def ground_of(spaces: Iterable[Space], today: date) -> Ground:
    """What stands in some spaces from today on. Six queries.

    Parameters
    ----------
    spaces : iterable of Space
        With their kinds loaded.
    today : date
    """
    spaces = list(spaces)
    place = farm_place()
    capacity = _capacities(spaces)
    rows = _open_stays([space.pk for space in spaces])
    plantings = {stay.planting_id: stay.planting for stay in rows}
    over = _stays_over(list(plantings))
    done = [*over, *(stay for stay in rows if stay.state == Stay.State.DONE)]
    paces = paces_of(plantings.values())
    standing = balances(plantings.values(), stays=done)
    kinds = {stay.pk: getattr(stay, "kind_pk", None) or stay.space.kind_id for stay in done}
    entered = stages_entered(done, kinds, paces)
    ends: dict[tuple[int, date], date] = {}
    occupants: dict[int, list[Occupant]] = defaultdict(list)
    wanted = {space.pk for space in spaces}
    for stay in sorted((stay for stay in rows if stay.space_id in wanted), key=lambda stay: (stay.from_on, stay.pk)):
        pace, balance = paces.get(stay.planting_id), standing[stay.planting_id]
        is_planned = stay.state == Stay.State.PLANNED
        plants = still_to_come(stay, balance, pace) if is_planned else balance.plants_in(stay)
        if plants > 0:
            end = end_of(stay, pace, place, entered.get(stay.pk), ends)
            occupants[stay.space_id].append(_occupant(stay, plants, pace, end, today))
    rooms = {one.pk: SpaceRoom(one, tuple(capacity[one.pk]), tuple(occupants[one.pk])) for one in spaces}
    return Ground(rooms, paces, standing, {stay.pk: stay for stay in rows}, entered, place)


def _open_stays(spaces: Collection[int]) -> list[Stay]:
    """All stays that are not over, of the plantings that stand in some spaces, or are planned into them."""
    here = (
        Stay.objects.live()
        .filter(planting__cleared_on=None, space__in=spaces, is_over=False)
        .exclude(planting__state=Planting.State.NOT_SOWN)
    )
    rows = Stay.objects.live().filter(planting__in=here.values("planting"), is_over=False)
    return list(rows.select_related("planting__variety", "space__kind"))


def _stays_over(plantings: Collection[int]) -> list[Stay]:
    """What these plantings have left behind: it tells their age in a stage, and how many were ever placed."""
    rows = Stay.objects.live().filter(planting__in=plantings, is_over=True, state=Stay.State.DONE)
    return list(rows.annotate(kind_pk=F("space__kind")))


def _capacities(spaces: Collection[Space]) -> Mapping[int, list[tuple[date, float]]]:
    """Places from each day on; 0 from the day on which a spell ends and no other begins."""
    found: dict[int, dict[date, float]] = defaultdict(dict)
    spells = SpaceSpell.objects.filter(space__in=[space.pk for space in spaces])
    for spell in sorted(spells, key=lambda spell: (spell.from_on or date.min, spell.pk)):
        found[spell.space_id][spell.from_on or date.min] = float(spell.places)
        if spell.to_on is not None:
            found[spell.space_id].setdefault(spell.to_on, 0.0)
    return defaultdict(list, {space: sorted(days.items()) for space, days in found.items()})


def _occupant(stay: Stay, plants: int, pace: Pace | None, end: date, today: date) -> Occupant:
    places = places_of(stay, plants, pace)
    if stay.state == Stay.State.DONE and end <= today:
        return Occupant(stay, plants, places, stay.from_on, monday_of(today) + WEEK, end)
    return Occupant(stay, plants, places, stay.from_on, max(end, stay.from_on))


def stages_entered(done: Iterable[Stay], kinds: Mapping[int, int], paces: Mapping[int, Pace]) -> dict[int, date]:
    """By stay that is done, when its plants entered the stage they stand in; `kinds`: the kind of each one's space."""
    by_key = {stay.pk: stay for stay in done}
    stages = {}
    for key, stay in by_key.items():
        pace = paces.get(stay.planting_id)
        stages[key] = pace.stage_at(kinds[key], stay.stage_number) if pace is not None else None
    return {key: _entered(stay, by_key, stages) for key, stay in by_key.items()}


def _entered(stay: Stay, by_key: Mapping[int, Stay], stages: Mapping[int, Stage | None]) -> date:
    first, seen = stay, {stay.pk}
    while (before := by_key.get(first.came_from_id or 0)) is not None and before.pk not in seen:
        if stages[before.pk] is None or stages[before.pk] != stages[stay.pk]:
            break
        first = before
        seen.add(before.pk)
    return first.from_on
