"""How plants of one season really grow: what no schedule says. Drawn once, the same for every policy."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from farmops.core.sizing import Stage
from farmops.proving.sizing_farms import stages_of
from farmops.proving.sown.farm import Farm

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Spreads:
    """Standard deviations: of the logarithm of days, and of shares that survive a stage."""

    schedule: float = 0.08  # of a variety about the farm's table, all season long
    planting: float = 0.10
    weather: float = 0.06  # shared by all that is sown in neighbouring weeks
    stand_schedule: float = 0.03  # of a variety about the table
    stand: float = 0.05
    lost: float = 0.02  # share of plantings that come to nothing


NONE = Spreads(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
LEAST_STAND, MOST_STAND = 0.3, 1.0


@dataclass(frozen=True, slots=True)
class Luck:
    """slowness: (items, weeks) factor on the days of the table; stand: (items, weeks, 3) added to what survives each
    stage; lost: (items, weeks) the stage from which nothing comes out, or -1."""

    slowness: Floats
    stand: Floats
    lost: npt.NDArray[np.int64]


def draw_luck(farm: Farm, weeks: int, spreads: Spreads, rng: np.random.Generator) -> Luck:
    """The season's luck for every sowing there may be."""
    items = len(farm.crops)
    weather = np.convolve(rng.normal(0, 1, weeks + 4), np.full(5, 5**-0.5), "valid")
    log = (
        rng.normal(0, spreads.schedule, (items, 1))
        + rng.normal(0, spreads.planting, (items, weeks))
        + spreads.weather * weather[None, :]
    )
    stand = rng.normal(0, spreads.stand_schedule, (items, 1, 3)) + rng.normal(0, spreads.stand, (items, weeks, 3))
    stages = np.array([len(stages_of(crop, 0)) for crop in farm.crops])
    lost = np.where(rng.random((items, weeks)) < spreads.lost, rng.integers(0, 6, (items, weeks)) % stages[:, None], -1)
    return Luck(np.exp(log), stand, lost)


def real_stages(farm: Farm, luck: Luck, item: int, week: int) -> tuple[Stage, ...]:
    """The stages that a sowing of this week really goes through; a lost one keeps its days."""
    found = []
    for number, stage in enumerate(stages_of(farm.crops[item], week)):
        share = min(MOST_STAND, max(LEAST_STAND, stage.survives + float(luck.stand[item, week, number])))
        found.append(Stage(stage.kind, stage.days * float(luck.slowness[item, week]), stage.places, share))
    return tuple(found)
