"""How a variety grows and is harvested, and what is known of one planting of it."""

import math
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from farmops.core.growth import Need


class Way(StrEnum):
    """How it is harvested."""

    HEAD = "head"  # whole, once
    CUT = "cut"  # grown again for another cutting
    PICKED = "picked"  # week after week from the same plants


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: what it needs, how densely it stands, and the share of plants that leave it."""

    name: str
    kind: str
    need: Need
    plants_per_place: float
    survive: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.plants_per_place) and self.plants_per_place > 0):
            raise ValueError(f"plants on a place must be above 0, got {self.plants_per_place}")
        if not 0.0 < self.survive <= 1.0:
            raise ValueError(f"the surviving share must be above 0 and at most 1, got {self.survive}")


@dataclass(frozen=True, slots=True)
class Schedule:
    """Stages in turn, and the harvest.

    Attributes
    ----------
    stages : tuple of Stage
        At least one; ready at the end of the last.
    way : Way
    unit : str
        What it is cut in: head, bunch, lb ...
    per_plant : float, > 0
        As cut, from one plant: a head, a first cutting, or a week's picking. [units]
    packed : float in (0, 1]
        Of what is cut, what is left to sell. [-]
    cuttings : tuple of float
        Each cutting against the first; (1.0,) for one. [-]
    regrowth : Need or None
        Days from one cutting to the next.
    pick_weeks : int
        Weeks from the first pick to the expected end.
    stands_days : int, >= 1
        Days it stays good uncut, the day it is ready counted. [d]
    """

    stages: tuple[Stage, ...]
    way: Way
    unit: str
    per_plant: float
    packed: float = 1.0
    cuttings: tuple[float, ...] = (1.0,)
    regrowth: Need | None = None
    pick_weeks: int = 0
    stands_days: int = 7

    def __post_init__(self) -> None:
        if not self.stages:
            raise ValueError("a schedule needs at least one stage")
        if not (self.per_plant > 0 and 0 < self.packed <= 1):
            raise ValueError(
                f"what is cut from a plant and its packed share must be above 0, got {self.per_plant} and {self.packed}"
            )
        if self.way is Way.CUT and len(self.cuttings) > 1 and self.regrowth is None:
            raise ValueError("several cuttings need the days between them")
        if self.way is Way.PICKED and self.pick_weeks < 1:
            raise ValueError("a picked crop needs the weeks it is picked")

    @property
    def survive(self) -> float:
        """Share of what is sown that is there to harvest. It divides; no buffer is in it."""
        return math.prod(stage.survive for stage in self.stages)


@dataclass(frozen=True, slots=True)
class Stand:
    """Plants of a planting in one space: `stage` counts from 0, `to_day` None is still there."""

    space: str
    kind: str
    stage: int
    plants: float
    from_day: date
    to_day: date | None = None
    places: float | None = None


@dataclass(frozen=True, slots=True)
class Picked:
    """So much as cut on a day, in the schedule's unit; `cutting` None is not noted, nor is `space` "" where."""

    day: date
    amount: float
    cutting: int | None = None
    space: str = ""


@dataclass(frozen=True, slots=True)
class Walked:
    """What the grower saw: so much ready, so many days late, or finished. It overrides every figure."""

    day: date
    by: str = ""
    ready: float | None = None
    days_late: float | None = None
    finished: bool = False


@dataclass(frozen=True, slots=True)
class Lost:
    day: date
    plants: float
    space: str = ""


@dataclass(frozen=True, slots=True)
class Planting:
    """What is known of one planting."""

    key: str
    variety: str
    schedule: Schedule
    sown: date
    plants: float
    stands: tuple[Stand, ...] = ()
    losses: tuple[Lost, ...] = ()
    picks: tuple[Picked, ...] = ()
    walks: tuple[Walked, ...] = ()
    cleared: date | None = None

    def last_walk(self, until: date = date.max) -> Walked | None:
        """The latest by a day; of two on one day the one that was noted later."""
        return max(
            (walk for walk in reversed(self.walks) if walk.day <= until), key=lambda walk: walk.day, default=None
        )
