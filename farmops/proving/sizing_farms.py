"""Invented farms of a size that a sizing programme meets, and how long it takes over them.

All figures are made up: days, losses, prices and demand are drawn around plain round numbers.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from farmops.core.sizing.model import build
from farmops.core.sizing.plan import Plan
from farmops.core.sizing.planner import solve
from farmops.core.sizing.problem import (
    Block,
    Cuts,
    Heads,
    Item,
    Market,
    Occupancy,
    Problem,
    Promise,
    Settings,
    Sowing,
    Space,
    Standing,
    market_pieces,
)
from farmops.core.sizing.solve import run
from farmops.core.sizing.stages import Cutting, Stage, cut_sowing, heads_sowing

KINDS = ("shelf", "nursery", "finishing", "bench", "house bed", "field bed")
UNLIMITED = 1e6
PART_PLANTS = 64  # half a tray of 128
PAST_WEEKS = 12  # of sowings that may still stand
ROOM_PERCENTILE = 85
DISPERSION = 8.0
BEYOND_WEEKS = 20
PROMISED_EVERY = 3  # every third item has a standing order or a box
SLOW = 1.3  # slowness from which crops stand longer and regrow later
OLD_SHARE = 0.5  # of a usual sowing that was made in each past week


@dataclass(frozen=True, slots=True)
class Crop:
    """An invented item: how it grows, in days at midsummer, and what it sells for."""

    key: str
    grows: str  # heads, cut, picked
    home: str  # kind of its last stage
    shelf_days: float
    nursery_days: float
    last_days: float
    survives: float
    per_plant: float
    price: float
    cutting: float
    cost: float  # of a part
    demand: float  # mean a week
    peak: float  # week of the year of the greatest demand
    keeps: int


@dataclass(frozen=True, slots=True)
class Timing:
    """One measured run. lp_worth is the bound of the relaxation before any branching."""

    model_seconds: float
    lp_seconds: float
    mip_seconds: float
    total_seconds: float
    lp_worth: float
    plan: Plan


def invented_crops(items: int, rng: random.Random) -> list[Crop]:
    """Two in five are heads, as many are cut, one in five is picked for months."""
    crops = []
    for number in range(items):
        grows = ("heads", "cut", "heads", "cut", "picked")[number % 5]
        home = {"heads": "finishing", "cut": ("bench", "house bed")[number // 5 % 2], "picked": "field bed"}[grows]
        crops.append(
            Crop(
                key=f"{grows} {number + 1}",
                grows=grows,
                home=home,
                shelf_days=rng.choice([10, 12, 14, 17]),
                nursery_days=rng.choice([14, 17, 21]) if grows == "heads" else 0,
                last_days=rng.choice([17, 21, 24]) if grows != "picked" else 35,
                survives=round(rng.uniform(0.78, 0.93), 2),
                per_plant={"heads": 1.0, "cut": 0.3, "picked": 2.4}[grows],
                price=rng.choice([2.0, 2.5, 3.0, 3.5, 4.0]),
                cutting=rng.choice([0.3, 0.4, 0.5]),
                cost=rng.choice([3.0, 4.0, 6.0]),
                demand=rng.uniform(18, 90),
                peak=rng.uniform(20, 36),
                keeps=rng.choice([0, 1, 1, 2]),
            )
        )
    return crops


def slowness(week: int) -> float:
    """Days in the season of a sowing week over days at midsummer (week 24 of the year); slowest half a year later."""
    return 1.25 - 0.25 * math.cos(2 * math.pi * (week - 24) / 52)


def stages_of(crop: Crop, of_year: int) -> tuple[Stage, ...]:
    """Stages of a sowing in this week of the year, in days by the farm's own table."""
    slow = slowness(of_year)
    shelf = Stage("shelf", crop.shelf_days * slow, 0.5 / PART_PLANTS, survives=0.9)
    last = Stage(crop.home, crop.last_days * slow, 1 / 18 if crop.grows == "heads" else 1 / 32, crop.survives)
    if crop.grows == "heads":
        return shelf, Stage("nursery", crop.nursery_days * slow, 1 / 72, survives=0.97), last
    return shelf, last


def stands_weeks(of_year: int) -> int:
    """Weeks that heads of a sowing in this week of the year stand good."""
    return 2 if slowness(of_year) < SLOW else 3


def cuttings_of(crop: Crop, of_year: int) -> tuple[Cutting, ...]:
    """Cuttings, or four-week blocks of picking, of a sowing in this week of the year."""
    if crop.grows == "picked":
        return tuple(Cutting(4 * at, crop.per_plant * share, 4) for at, share in enumerate((1.0, 0.9, 0.7)))
    gap = 2 if slowness(of_year) < SLOW else 3
    return tuple(Cutting(at * gap, crop.per_plant * share) for at, share in enumerate((1.0, 0.8, 0.6)))


def sowing_of(crop: Crop, week: int, first_week: int, stages: tuple[Stage, ...] | None = None) -> Sowing:
    """One part of the crop, sown in this week; first_week is the week of the year of week 0.

    stages: where they are other than the farm's table says.
    """
    of_year = week + first_week
    stages = stages or stages_of(crop, of_year)
    if crop.grows == "heads":
        stands = stands_weeks(of_year)
        return heads_sowing(crop.key, week, PART_PLANTS, stages, stands_weeks=stands, cost=crop.cost)
    return cut_sowing(crop.key, week, PART_PLANTS, stages, cuttings_of(crop, of_year), cost=crop.cost)


def standing_from(sowing: Sowing, parts: float) -> Standing | None:
    """What is left of a sowing made before week 0, if anything can still be cut from it."""
    key = f"{sowing.item} sown {-sowing.week} weeks ago"
    room = _from_now(sowing.room, parts)
    if isinstance(sowing.harvest, Heads):
        heads = sowing.harvest
        if heads.last < 0:
            return None
        return Standing(key, sowing.item, replace(heads, ready=max(0, heads.ready), items=parts * heads.items), room)
    blocks = []
    for block in sowing.harvest.blocks:
        harvests = tuple((week, parts * items) for week, items in block.harvests if week >= 0)
        if harvests:
            blocks.append(Block(harvests, _from_now(block.room, parts)))
    return Standing(key, sowing.item, Cuts(tuple(blocks)), room) if blocks else None


def _from_now(room: tuple[Occupancy, ...], parts: float) -> tuple[Occupancy, ...]:
    return tuple(replace(place, places=parts * place.places) for place in room if place.week >= 0)


def demand_chances(mean: float, k: float = DISPERSION) -> list[float]:
    """Negative binomial chances of 0, 1, 2, ... up to where less than a millionth is left; they add up to 1."""
    chance = (k / (k + mean)) ** k
    chances, total, demand = [chance], chance, 0
    while total < 1 - 1e-6:
        chance *= (k + demand) / (demand + 1) * mean / (k + mean)
        demand += 1
        chances.append(chance)
        total += chance
    return [chance / total for chance in chances]


def weekly_mean(crop: Crop, week: int, first_week: int) -> float:
    """Mean demand at both markets together, higher around the crop's peak."""
    return crop.demand * (0.75 + 0.25 * math.cos(2 * math.pi * (week + first_week - crop.peak) / 52))


def invented_farm(
    items: int, weeks: int, *, room: float = 0.65, seed: int = 1, first_week: int = 13, standing: bool = True
) -> Problem:
    """A farm of so many items and weeks, two markets a week and some orders.

    Parameters
    ----------
    items, weeks : int, >= 1
        Size of the problem.
    room : float, > 0
        Places as a share of the 85th percentile over the weeks of what would be used if room were no limit. [-]
    seed : int
        Another seed is another farm.
    first_week : int
        Week of the year of week 0.
    standing : bool
        Whether sowings of the last twelve weeks stand.
    """
    rng = random.Random(seed)
    crops = invented_crops(items, rng)
    problem = Problem(
        weeks=weeks,
        spaces=tuple(Space(kind, (UNLIMITED,) * weeks) for kind in KINDS),
        items=tuple(_item(crop, weeks, first_week) for crop in crops),
        sowings=tuple(sowing_of(crop, week, first_week) for crop in crops for week in range(weeks)),
        promises=_promises(crops, weeks, first_week),
        markets=_markets(crops, weeks, first_week, rng),
        standing=_standing(crops, first_week, room) if standing else (),
    )
    return replace(problem, spaces=limited_room(problem, room))


def _item(crop: Crop, weeks: int, first_week: int) -> Item:
    beyond = tuple(weekly_mean(crop, weeks + after, first_week) for after in range(BEYOND_WEEKS))
    return Item(
        crop.key,
        cutting=crop.cutting,
        keeps=crop.keeps,
        keep_loss=0.1 if crop.keeps else 0.0,
        beyond=beyond,
        beyond_price=crop.price,
    )


def _promises(crops: list[Crop], weeks: int, first_week: int) -> tuple[Promise, ...]:
    return tuple(
        Promise(
            f"order {crop.key} {week}",
            crop.key,
            week,
            float(round(0.25 * weekly_mean(crop, week, first_week))),
            0.8 * crop.price,
            crop.price,
        )
        for crop in crops[::PROMISED_EVERY]
        for week in range(weeks)
    )


def _markets(crops: list[Crop], weeks: int, first_week: int, rng: random.Random) -> tuple[Market, ...]:
    markets = []
    for crop in crops:
        saturday = rng.uniform(0.6, 0.8)
        for week in range(weeks):
            for day, share in (("Wednesday", 1 - saturday), ("Saturday", saturday)):
                mean = share * weekly_mean(crop, week, first_week)
                pieces = market_pieces(demand_chances(mean), crop.price)
                markets.append(Market(f"{day} {crop.key} {week}", crop.key, week, pieces, crop.price, mean=mean))
    return tuple(markets)


def _standing(crops: list[Crop], first_week: int, room: float) -> tuple[Standing, ...]:
    found = []
    for crop in crops:
        gives = PART_PLANTS * 0.9 * crop.survives * crop.per_plant * (1.0 if crop.grows == "heads" else 2.4)
        every = 8 if crop.grows == "picked" else 1
        for week in range(-PAST_WEEKS, 0, every):
            parts = OLD_SHARE * room * every * crop.demand / gives
            planting = standing_from(sowing_of(crop, week, first_week), max(0.25, round(4 * parts) / 4))
            if planting is not None:
                found.append(planting)
    return tuple(found)


def limited_room(problem: Problem, room: float) -> tuple[Space, ...]:
    """Places from what is used without limits (in fractions of parts, which is near enough)."""
    settings = Settings(room_counts=False, explain=False)
    model = build(problem, settings)
    values = run(model.matrix, settings, whole=False).values
    if values is None:
        raise ArithmeticError("a farm without limits must have a plan")
    spaces = []
    for kind in KINDS:
        used = [
            sum(factor * values[column] for column, factor in model.room.get((kind, week), {}).items())
            for week in range(problem.weeks)
        ]
        places = max(1.0, math.ceil(room * float(np.percentile(used, ROOM_PERCENTILE))))
        spaces.append(Space(kind, (places,) * problem.weeks))
    return tuple(spaces)


def measure(
    problem: Problem, settings: Settings | None = None, *, clock: Callable[[], float] = time.perf_counter
) -> Timing:
    """Build, solve the relaxation, then plan; seconds by `clock`. Times belong to the machine they are from."""
    settings = replace(settings or Settings(), explain=False)
    started = clock()
    model = build(problem, settings)
    built = clock()
    relaxed = run(model.matrix, settings, whole=False)
    solved = clock()
    plan = solve(problem, settings)
    ended = clock()
    if relaxed.objective is None:
        raise ArithmeticError("the relaxation has no answer")
    return Timing(built - started, solved - built, plan.solver_seconds, ended - solved, relaxed.objective, plan)
