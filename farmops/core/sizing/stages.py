"""From stages in days to weeks: when a sowing moves, is ready, and what it takes up on the way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .problem import Block, Cuts, Heads, Occupancy, Sowing

DAYS = 7


@dataclass(frozen=True, slots=True)
class Stage:
    """So many days in one kind of space. survives: share of the plants entering that come out of it alive."""

    kind: str
    days: float
    places: float  # per plant that enters the stage
    survives: float = 1.0


@dataclass(frozen=True, slots=True)
class Cutting:
    """One cutting (or weeks of picking): weeks after the first, what it gives, for how many weeks it is picked."""

    after: int
    items_per_plant: float
    weeks: int = 1


def stage_ends(stages: Sequence[Stage], week: int) -> list[int]:
    """The week in which each stage of a sowing of `week` ends: sown week + ceil(days so far / 7).

    Raises
    ------
    ValueError
        If a stage has no days, no survivors or negative places.
    """
    ends, days = [], 0.0
    for stage in stages:
        if not (0 < stage.days < math.inf and 0 < stage.survives <= 1 and 0 <= stage.places < math.inf):
            raise ValueError(
                f"{stage.kind}: days must be over 0, survival over 0 to 1 and places 0 or more: "
                f"{stage.days}, {stage.survives}, {stage.places}"
            )
        days += stage.days
        ends.append(week + math.ceil(days / DAYS - 1e-9))
    if not ends:
        raise ValueError("a sowing needs at least one stage")
    return ends


def occupancy(stages: Sequence[Stage], week: int, plants: float) -> tuple[list[Occupancy], float]:
    """Places taken in each week from the sowing to the end of the last stage, and the plants alive then."""
    room: list[Occupancy] = []
    start = week
    for stage, end in zip(stages, stage_ends(stages, week), strict=True):
        room.extend(Occupancy(stage.kind, at, plants * stage.places) for at in range(start, end))
        start, plants = end, plants * stage.survives
    return room, plants


def heads_sowing(
    item: str,
    week: int,
    plants: float,
    stages: Sequence[Stage],
    *,
    stands_weeks: int,
    items_per_plant: float = 1.0,
    cost: float = 0.0,
    way: str = "",
    seed: str = "",
) -> Sowing:
    """One part of a sowing that is cut once.

    Parameters
    ----------
    plants : float, > 0
        Seeds or plants of one part. [plants]
    stands_weeks : int, >= 1
        Weeks it stands good, its ready week counted. [weeks]
    items_per_plant : float, > 0
        [items plant⁻¹]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    Ready heads stand in the last stage's space with the places the plants took there, the dead ones' included.
    """
    if stands_weeks < 1 or not plants > 0 or not items_per_plant > 0:
        raise ValueError(f"plants, items and weeks must be over 0: {plants}, {items_per_plant}, {stands_weeks}")
    room, alive = occupancy(stages, week, plants)
    ready = stage_ends(stages, week)[-1]
    per_item = stages[-1].places / stages[-1].survives / items_per_plant
    heads = Heads(ready, ready + stands_weeks - 1, alive * items_per_plant, stages[-1].kind, round(per_item, 9))
    return Sowing(item, week, heads, tuple(room), cost, way, seed=seed, seeds=plants if seed else 0.0)


def cut_sowing(
    item: str,
    week: int,
    plants: float,
    stages: Sequence[Stage],
    cuttings: Sequence[Cutting],
    *,
    cost: float = 0.0,
    way: str = "",
    seed: str = "",
) -> Sowing:
    """One part of a sowing that is cut or picked several times, in its last stage's places until the last cutting.

    Raises
    ------
    ValueError
        If an argument is out of its range or the cuttings are not in order.
    """
    if not plants > 0 or not cuttings:
        raise ValueError(f"plants must be over 0 and there must be a cutting: {plants}, {len(cuttings)}")
    room, alive = occupancy(stages, week, plants)
    first, last = stage_ends(stages, week)[-1], stages[-1]
    places = plants_entering(stages, plants) * last.places
    blocks, start = [], 0
    for cutting in cuttings:
        if cutting.after < start or cutting.weeks < 1:
            raise ValueError(f"cuttings must follow each other: week {cutting.after} for {cutting.weeks} weeks")
        end = cutting.after + cutting.weeks
        amount = alive * cutting.items_per_plant / cutting.weeks
        blocks.append(
            Block(
                tuple((first + at, amount) for at in range(cutting.after, end)),
                tuple(Occupancy(last.kind, first + at, places) for at in range(start, end)),
            )
        )
        start = end
    return Sowing(item, week, Cuts(tuple(blocks)), tuple(room), cost, way, seed=seed, seeds=plants if seed else 0.0)


def plants_entering(stages: Sequence[Stage], plants: float) -> float:
    """Plants that enter the last stage. [plants]"""
    return plants * math.prod(stage.survives for stage in stages[:-1])
