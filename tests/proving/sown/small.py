"""A farm of three varieties, quick to play."""

from functools import lru_cache

import numpy as np

from farmops.proving.sown.farm import farm_of
from farmops.proving.sown.luck import NONE, draw_luck
from farmops.proving.sown.season import Season
from farmops.proving.worlds.draws import draw_season

WEEKS = 70


@lru_cache(maxsize=4)
def small_season(spreads=NONE, seed=1):
    farm = farm_of(0.5, varieties=3)
    draw = draw_season(farm.world, seed, 0, tuple(range(WEEKS)))
    return Season(farm, draw, draw_luck(farm, WEEKS, spreads, np.random.default_rng(seed)))
