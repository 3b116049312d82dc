"""What comes from a planting and the places it takes, as found by day."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from farmops.core.schedule import Stand

DAY = timedelta(days=1)
WEEK = timedelta(days=7)


class Note(StrEnum):
    """What a person should know beside the figure."""

    DUE_NOT_MOVED = "due, not moved"
    NO_STAYS = "no stays noted"
    PAST_ITS_BEST = "past its best"
    SEEN_ON_A_WALK = "seen on a walk"
    FINISHED = "finished"
    STILL_PICKED = "still picked after its end"
    REGROWS_IN_THE_DARK = "regrows in the dark weeks"


class Basis(StrEnum):
    """What an expected amount goes by."""

    PLAN = "plan"
    RECORDS = "records"
    WALK = "walk"


@dataclass(frozen=True, slots=True)
class Coming:
    """So much, as cut, from `first` to `last` (both counted).

    Attributes
    ----------
    cutting : int
        1 for heads and the first cutting; for a picked crop the week of picking.
    amount : float
        What is still to be cut of it. [units of the schedule, as cut]
    planned : float
        What the plan alone would say. [units of the schedule, as cut]
    basis : Basis
    """

    cutting: int
    first: date
    last: date
    amount: float
    planned: float
    basis: Basis = Basis.PLAN


@dataclass(frozen=True, slots=True)
class Taken:
    """Places of a kind of space that a planting takes; `space` is "" where it is not known yet."""

    kind: str
    places: float
    from_day: date
    to_day: date
    space: str = ""


@dataclass(slots=True)
class Outlook:
    """What one planting will give and take; `ready` is the first day of its first harvest to come."""

    key: str
    coming: list[Coming] = field(default_factory=list)
    room: list[Taken] = field(default_factory=list)
    notes: list[tuple[Note, float]] = field(default_factory=list)
    ready: date | None = None

    def amount(self, first: date, last: date) -> float:
        """As cut, of all that becomes ready between two days (both counted)."""
        return math.fsum(coming.amount for coming in self.coming if first <= coming.first <= last)


@dataclass(frozen=True, slots=True)
class Arrival:
    """Plants in their last stage: since when, ready when, how many to harvest, and their places."""

    entered: date
    ready: date
    plants: float
    kind: str
    places: float
    stands: tuple[Stand, ...]


def room_of(kind: str, places: float, first: date, end: date, stands: Sequence[Stand]) -> list[Taken]:
    """Places until `end`: space by space where that is known."""
    if not stands:
        return [Taken(kind, places, first, end)]
    plants = math.fsum(stand.plants for stand in stands) or 1.0
    return [
        Taken(
            stand.kind,
            stand.places if stand.places is not None else places * stand.plants / plants,
            stand.from_day,
            max(end, stand.from_day + DAY),
            stand.space,
        )
        for stand in stands
    ]
