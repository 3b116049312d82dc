"""Places: who takes them on which day, what is free, what clashes, and what must wait because the next stage is full.

The day of coming in is counted, the day of going out is not: out in the morning, the next in on the same day.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

NEVER = date.max


@dataclass(frozen=True, slots=True)
class Stay:
    """So many places taken from one day to another.

    Attributes
    ----------
    key : str
        Whose it is.
    places : float, >= 0
    from_day, to_day : date
        In on the first, out on the second; `NEVER` while nobody knows.
    """

    key: str
    places: float
    from_day: date
    to_day: date = NEVER

    def covers(self, day: date) -> bool:
        return self.from_day <= day < self.to_day


@dataclass(frozen=True, slots=True)
class Clash:
    """More taken than there is: on the days from `from_day` to the day before `to_day`, `over` places too many."""

    from_day: date
    to_day: date
    over: float
    keys: tuple[str, ...]


def taken(stays: Iterable[Stay], day: date) -> float:
    """Places taken on a day; 0 on an empty one."""
    return math.fsum(stay.places for stay in stays if stay.covers(day))


def free(places: float, stays: Iterable[Stay], day: date) -> float:
    """Places free on a day; negative where more stands than there is room for."""
    return places - taken(stays, day)


def clashes(capacity: Sequence[tuple[date, float]], stays: Sequence[Stay]) -> list[Clash]:
    """Every stretch of days on which more is taken than there is.

    Parameters
    ----------
    capacity : sequence of (date, float)
        Places from each day on, days rising; 0 before the first.
    stays : sequence of Stay

    Returns
    -------
    list of Clash
        In order of days; neighbouring stretches differ in who is in them or by how much.
    """
    marks = sorted(
        {stay.from_day for stay in stays} | {stay.to_day for stay in stays} | {day for day, _places in capacity}
    )
    found: list[Clash] = []
    for here, after in zip(marks, [*marks[1:], NEVER], strict=True):
        inside = [stay for stay in stays if stay.covers(here) and stay.places > 0]
        places = next((places for day, places in reversed(capacity) if day <= here), 0.0)
        over = math.fsum(stay.places for stay in inside) - places
        if over <= 1e-6:
            continue
        keys = tuple(stay.key for stay in inside)
        if found and found[-1].to_day == here and found[-1].keys == keys and abs(found[-1].over - over) < 1e-9:
            found[-1] = Clash(found[-1].from_day, after, over, keys)
        else:
            found.append(Clash(here, after, over, keys))
    return found


@dataclass(frozen=True, slots=True)
class DuePlanting:
    """Plants due to move into the next stage.

    Attributes
    ----------
    key : str
    due : date
        Day on which they should move.
    places : float, > 0
        Places they take there.
    days : float, > 0
        Days they stand there. [d]
    """

    key: str
    due: date
    places: float
    days: float


@dataclass(frozen=True, slots=True)
class Move:
    """When a planting can move: `days_late` after it was due, and ready as much later. Its age stays its own."""

    key: str
    due: date
    moved: date
    ready: date

    @property
    def days_late(self) -> int:
        return (self.moved - self.due).days


def moves_as_room_comes(due: Sequence[DuePlanting], places: float, standing: Sequence[Stay] = ()) -> list[Move]:
    """Move each planting as soon as all of it fits, first due first; what does not fit waits where it is.

    Parameters
    ----------
    due : sequence of DuePlanting
    places : float, >= 0
        Of the next stage, the same every day.
    standing : sequence of Stay
        Who stands there already.

    Returns
    -------
    list of Move
        In the order they move; `NEVER` where somebody stands there for ever.

    Raises
    ------
    ValueError
        If a planting is larger than the whole room.
    """
    stays = list(standing)
    moves: list[Move] = []
    for planting in sorted(due, key=lambda planting: (planting.due, planting.key)):
        if planting.places > places:
            raise ValueError(f"{planting.key} needs {planting.places} places, there are {places}")
        standing_for = timedelta(days=math.ceil(planting.days))
        openings = sorted({planting.due} | {stay.to_day for stay in stays if planting.due < stay.to_day < NEVER})
        for day in openings:
            trial = [*stays, Stay(planting.key, planting.places, day, day + standing_for)]
            if not any(clash.to_day > day for clash in clashes([(date.min, places)], trial)):
                stays = trial
                moves.append(Move(planting.key, planting.due, day, day + standing_for))
                break
        else:
            moves.append(Move(planting.key, planting.due, NEVER, NEVER))
    return moves


def most_each_time(places: float, days: float, every: float = 7.0) -> int:
    """Largest planting that can move in every `every` days for ever, standing `days` days (both > 0). [places]"""
    return math.floor(places / math.ceil(days / every - 1e-9) + 1e-9)
