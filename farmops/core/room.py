"""Places: who takes them on which day, what is free, what clashes, and what must wait because the next stage is full.

The day of coming in is counted, the day of going out is not: out in the morning, the next in on the same day.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

NEVER = date.max


@dataclass(frozen=True, slots=True)
class Turn:
    """So many places taken from one day to another.

    Attributes
    ----------
    key : str
        Whose turn it is.
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


def taken(turns: Iterable[Turn], day: date) -> float:
    """Places taken on a day."""
    return math.fsum(turn.places for turn in turns if turn.covers(day))


def free(places: float, turns: Iterable[Turn], day: date) -> float:
    """Places free on a day; negative where more stands than there is room for."""
    return places - taken(turns, day)


def clashes(capacity: Sequence[tuple[date, float]], turns: Sequence[Turn]) -> list[Clash]:
    """Every stretch of days on which more is taken than there is.

    Parameters
    ----------
    capacity : sequence of (date, float)
        Places from each day on, days rising; 0 before the first.
    turns : sequence of Turn

    Returns
    -------
    list of Clash
        In order of days; neighbouring stretches differ in who is in them or by how much.
    """
    marks = sorted(
        {turn.from_day for turn in turns} | {turn.to_day for turn in turns} | {day for day, _places in capacity}
    )
    found: list[Clash] = []
    for here, after in zip(marks, [*marks[1:], NEVER], strict=True):
        inside = [turn for turn in turns if turn.covers(here) and turn.places > 0]
        places = next((places for day, places in reversed(capacity) if day <= here), 0.0)
        over = math.fsum(turn.places for turn in inside) - places
        if over <= 1e-6:
            continue
        keys = tuple(turn.key for turn in inside)
        if found and found[-1].to_day == here and found[-1].keys == keys and abs(found[-1].over - over) < 1e-9:
            found[-1] = Clash(found[-1].from_day, after, over, keys)
        else:
            found.append(Clash(here, after, over, keys))
    return found


@dataclass(frozen=True, slots=True)
class Batch:
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
    """When a batch can move: `held_days` after it was due, and ready as much later. Its age stays its own."""

    key: str
    due: date
    moved: date
    ready: date

    @property
    def held_days(self) -> int:
        return (self.moved - self.due).days


def hold_back(batches: Sequence[Batch], places: float, standing: Sequence[Turn] = ()) -> list[Move]:
    """Move each batch as soon as all of it fits, first due first; what does not fit waits where it is.

    Raises
    ------
    ValueError
        If a batch is larger than the whole room.
    """
    turns = list(standing)
    moves: list[Move] = []
    for batch in sorted(batches, key=lambda batch: (batch.due, batch.key)):
        if batch.places > places:
            raise ValueError(f"{batch.key} needs {batch.places} places, there are {places}")
        stays = timedelta(days=math.ceil(batch.days))
        openings = sorted({batch.due} | {turn.to_day for turn in turns if batch.due < turn.to_day < NEVER})
        for day in openings:
            trial = [*turns, Turn(batch.key, batch.places, day, day + stays)]
            if not any(clash.to_day > day for clash in clashes([(date.min, places)], trial)):
                turns = trial
                moves.append(Move(batch.key, batch.due, day, day + stays))
                break
        else:
            moves.append(Move(batch.key, batch.due, NEVER, NEVER))
    return moves


def most_each_time(places: float, days: float, every: float = 7.0) -> int:
    """Largest batch that can move in every `every` days for ever, standing `days` days: whole places."""
    return math.floor(places / math.ceil(days / every - 1e-9) + 1e-9)
