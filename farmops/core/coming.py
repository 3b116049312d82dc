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
class Line:
    """Plants of a planting that go the same way on the same days.

    Attributes
    ----------
    on_the_way : list of Taken
        Stages before the last.
    at_harvest : list of Taken
        The last stage, until nothing more is expected.
    coming : list of Coming
    """

    on_the_way: list[Taken] = field(default_factory=list)
    at_harvest: list[Taken] = field(default_factory=list)
    coming: list[Coming] = field(default_factory=list)


@dataclass(slots=True)
class Outlook:
    """What one planting will give and take."""

    key: str
    lines: list[Line] = field(default_factory=list)
    notes: list[tuple[Note, float]] = field(default_factory=list)

    @property
    def coming(self) -> list[Coming]:
        """All its harvests to come, in order of days."""
        return sorted((coming for line in self.lines for coming in line.coming), key=lambda coming: coming.first)

    @property
    def room(self) -> list[Taken]:
        """All the places it takes."""
        return [taken for line in self.lines for taken in (*line.on_the_way, *line.at_harvest)]

    @property
    def ready(self) -> date | None:
        """First day of its first harvest to come."""
        return min((coming.first for line in self.lines for coming in line.coming), default=None)

    def amount(self, first: date, last: date) -> float:
        """As cut, of all that becomes ready between two days (both counted)."""
        return math.fsum(coming.amount for coming in self.coming if first <= coming.first <= last)


@dataclass(frozen=True, slots=True)
class Arrival:
    """Plants in their last stage: since when, ready when, how many to harvest, their places, and those before."""

    entered: date
    ready: date
    plants: float
    kind: str
    places: float
    stands: tuple[Stand, ...]
    on_the_way: tuple[Taken, ...] = ()

    def line(self, until: date, share: float = 1.0) -> Line:
        """Their line, with `share` of their places in the last stage taken until a day."""
        at_harvest = room_of(self.kind, self.places * share, self.entered, until, self.stands, share)
        return Line(list(self.on_the_way), at_harvest)


def room_of(
    kind: str, places: float, first: date, end: date, stands: Sequence[Stand], share: float = 1.0
) -> list[Taken]:
    """Places until `end`: space by space where that is known.

    Parameters
    ----------
    kind : str
        Of space, where no stand is known.
    places : float, >= 0
        Of all the plants; divided by plants among stands that have no places of their own.
    first, end : date
        In on the first, out on the second; those who stand there came in when they did.
    stands : sequence of Stand
    share : float in [0, 1]
        Of each stand's own places that is still taken. [-]

    Returns
    -------
    list of Taken
    """
    if not stands:
        return [Taken(kind, places, first, end)]
    plants = math.fsum(stand.plants for stand in stands) or 1.0
    return [
        Taken(
            stand.kind,
            stand.places * share if stand.places is not None else places * stand.plants / plants,
            stand.from_day,
            max(end, stand.from_day + DAY),
            stand.space,
        )
        for stand in stands
    ]
