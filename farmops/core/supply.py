"""What is coming from what stands: by planting, cutting and day, records in place of plans.

A late planting makes its later stages late; what was picked is no longer there; three picks do not end a planting, and
clearing does; what the grower saw on a walk overrides the figure. What was due and has not moved is expected next week.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from farmops.core.calendar import monday_of
from farmops.core.coming import WEEK, Arrival, Line, Note, Outlook, Taken, room_of
from farmops.core.growth import Factor, Place, Slowness, over_on
from farmops.core.harvests import cuts, heads, picking
from farmops.core.schedule import Planting, Stand, Walked, Way


@dataclass(frozen=True, slots=True)
class _Group:
    """Plants of a planting that entered one stage on one day."""

    stage: int
    entered: date
    plants: float
    alive: float
    stands: tuple[Stand, ...]


def outlook(planting: Planting, place: Place, as_of: date, own: Slowness | None = None) -> Outlook:
    """What a planting will give, from the records up to and including a day.

    Parameters
    ----------
    planting : Planting
    place : Place
    as_of : date
        Today: nothing is expected before it.
    own : Slowness or None
        What the farm's plantings of the variety say; None takes the schedule as it is.

    Returns
    -------
    Outlook
    """
    found = Outlook(planting.key)
    if planting.cleared is not None and planting.cleared <= as_of:
        return found
    next_monday = monday_of(as_of) + WEEK
    walk = planting.last_walk(as_of)
    factors = (own or Slowness()).factors(len(planting.schedule.stages))
    groups = _groups(planting, place, as_of, factors, found)
    finished = next((walk for walk in planting.walks if walk.finished and walk.day <= as_of), None)
    if finished is not None:
        found.notes.append((Note.FINISHED, 0.0))
        _keep_room(groups, planting, found, next_monday)
        return found
    picks = [pick for pick in planting.picks if pick.day <= as_of]
    arrivals = [_to_the_harvest(group, planting, place, as_of, factors, walk, found) for group in groups]
    arrivals.sort(key=lambda arrival: arrival.ready)
    if planting.schedule.way is Way.HEAD:
        heads(arrivals, planting.schedule, picks, walk, as_of, found, _left_behind(planting, groups))
    elif planting.schedule.way is Way.CUT:
        cuts(arrivals, planting.schedule, place, picks, walk, as_of, factors[-1], found)
    else:
        picking(arrivals, planting.schedule, picks, walk, as_of, found)
    if planting.cleared is not None:
        _end_with(planting.cleared, found)
    return found


def _groups(planting: Planting, place: Place, as_of: date, factors: Sequence[Factor], found: Outlook) -> list[_Group]:
    if not planting.stands:
        found.notes.append((Note.NO_STAYS, 0.0))
        return [_assumed(planting, place, as_of, factors)]
    open_stands: dict[tuple[int, date], list[int]] = defaultdict(list)
    for number, stand in enumerate(planting.stands):
        if stand.from_day <= as_of and (stand.to_day is None or stand.to_day > as_of):
            open_stands[stand.stage, stand.from_day].append(number)
    lost = _lost_by_stand(planting, as_of)
    groups = []
    for (stage, entered), numbers in sorted(open_stands.items()):
        stands = tuple(planting.stands[number] for number in numbers)
        plants = math.fsum(stand.plants for stand in stands)
        gone = math.fsum(lost[number] for number in numbers)
        groups.append(_Group(stage, entered, plants, max(0.0, plants - gone), stands))
    return groups


def _lost_by_stand(planting: Planting, as_of: date) -> dict[int, float]:
    """Plants lost of each stand, by its number; a loss without a space is spread over where plants stood that day.

    Of plants that came into a space on one day those that went on were counted as they went: what was lost there is
    missing from those that stay longest.
    """
    lost: dict[int, float] = defaultdict(float)
    for loss in planting.losses:
        if loss.day > as_of:
            continue
        there = {
            number: stand.plants
            for number, stand in enumerate(planting.stands)
            if stand.from_day <= loss.day
            and (stand.to_day is None or loss.day < stand.to_day)
            and loss.space in ("", stand.space)
        }
        everyone = math.fsum(there.values())
        came: dict[tuple[str, date], list[int]] = defaultdict(list)
        for number in there:
            came[planting.stands[number].space, planting.stands[number].from_day].append(number)
        for together in came.values():
            part = loss.plants * math.fsum(there[number] for number in together) / everyone if everyone else 0.0
            _take_from_the_last(planting.stands, together, part, lost)
    return lost


def _take_from_the_last(stands: Sequence[Stand], numbers: Sequence[int], plants: float, lost: dict[int, float]) -> None:
    """Take plants from the stands that end last, and what these have not from those before; alike are those alike."""
    ends: dict[date, list[int]] = defaultdict(list)
    for number in numbers:
        ends[stands[number].to_day or date.max].append(number)
    for _end, alike in sorted(ends.items(), reverse=True):
        left = math.fsum(max(0.0, stands[number].plants - lost[number]) for number in alike)
        part = min(plants, left)
        for number in alike:
            own = max(0.0, stands[number].plants - lost[number])
            lost[number] += part * own / left if left else 0.0
        plants -= part


def _left_behind(planting: Planting, groups: Sequence[_Group]) -> set[str]:
    """Spaces in which none of its plants stand any more: what was cut there is not missing elsewhere."""
    here = {stand.space for group in groups for stand in group.stands}
    return {stand.space for stand in planting.stands} - here if here else set()


def _assumed(planting: Planting, place: Place, as_of: date, factors: Sequence[Factor]) -> _Group:
    """Where a planting without any noted stay would be by its schedule."""
    lost = math.fsum(loss.plants for loss in planting.losses if loss.day <= as_of)
    entered, plants = planting.sown, planting.plants
    stages = planting.schedule.stages
    for number, stage in enumerate(stages):
        end = over_on(stage.need, place, entered, factors[number])
        if end > as_of or number == len(stages) - 1:
            return _Group(number, entered, plants, max(0.0, min(plants, planting.plants - lost)), ())
        entered, plants = end, plants * stage.survive
    raise AssertionError("a schedule has at least one stage")


def _to_the_harvest(
    group: _Group,
    planting: Planting,
    place: Place,
    as_of: date,
    factors: Sequence[Factor],
    walk: Walked | None,
    found: Outlook,
) -> Arrival:
    """Follow a group through its coming moves; what it takes on the way goes with it."""
    stages = planting.schedule.stages
    late = timedelta(days=round(walk.days_late)) if walk is not None and walk.days_late is not None else timedelta(0)
    entered, plants, alive = group.entered, group.plants, group.alive
    on_the_way: list[Taken] = []
    for number in range(group.stage, len(stages)):
        stage, is_last = stages[number], number == len(stages) - 1
        end = over_on(stage.need, place, entered, factors[number])
        if number == group.stage:
            end += late
        if not is_last and end <= as_of:
            found.notes.append((Note.DUE_NOT_MOVED, float((as_of - end).days)))
            end = monday_of(as_of) + WEEK
        leaving = min(plants * stage.survive, alive)
        places = _places(group.stands, stage.plants_per_place) if number == group.stage else 0.0
        places = places or plants / stage.plants_per_place
        stands = group.stands if number == group.stage else ()
        if is_last:
            return Arrival(entered, end, leaving, stage.kind, places, stands, tuple(on_the_way))
        on_the_way += room_of(stage.kind, places, entered, end, stands)
        entered, plants, alive = end, leaving, leaving
    raise AssertionError("a stand is in one of the schedule's stages")


def _places(stands: Sequence[Stand], per_place: float) -> float:
    return math.fsum(stand.places if stand.places is not None else stand.plants / per_place for stand in stands)


def _keep_room(groups: Sequence[_Group], planting: Planting, found: Outlook, end: date) -> None:
    for group in groups:
        stage = planting.schedule.stages[group.stage]
        places = _places(group.stands, stage.plants_per_place) or group.plants / stage.plants_per_place
        found.lines.append(Line(at_harvest=room_of(stage.kind, places, group.entered, end, group.stands)))


def _end_with(cleared: date, found: Outlook) -> None:
    """A clearing planned for a later day ends what would come after it."""
    for line in found.lines:
        line.coming = [coming for coming in line.coming if coming.first < cleared]
        line.on_the_way = _until(cleared, line.on_the_way)
        line.at_harvest = _until(cleared, line.at_harvest)


def _until(day: date, room: list[Taken]) -> list[Taken]:
    return [replace(taken, to_day=min(taken.to_day, day)) for taken in room if taken.from_day < day]
