"""How well the look back knows the sales missed after something ran out: simulated stalls know them exactly."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean, pstdev

from farmops.proving.season_play import Farm, by_short_habit, play
from farmops.proving.worlds import WORLDS
from farmops.proving.worlds.draws import draw_season
from farmops.proving.worlds.notebook import Record
from farmops.proving.worlds.parts import World

WEEKS = 26
MET = (0.2, 0.5, 0.8)  # shares of days on which the habit meets the whole demand
Json = dict[str, object]


@dataclass(frozen=True, slots=True)
class Estimate:
    """Pieces missed in all, as the product says: the middle and its 80 % range."""

    mean: float
    low: float
    high: float


Looker = Callable[[Sequence[Record]], Estimate]


@dataclass(frozen=True, slots=True)
class Trial:
    """One stall's half year: the habit's share of days met, what was truly missed, and what was said of it."""

    world: str
    season: int
    met: float
    truth: int
    said: Estimate

    @property
    def error(self) -> float:
        """Logarithm of what was said against the truth."""
        return math.log(max(self.said.mean, 1.0) / max(self.truth, 1))

    @property
    def holds(self) -> bool:
        return self.said.low <= self.truth <= self.said.high


def trials(
    worlds: Sequence[World], seasons: int, seed: int, look: Looker, shares: Sequence[float] = MET
) -> Iterator[Trial]:
    """Play each world with a habit that runs out, and ask what was missed."""
    for met in shares:
        for world in worlds:
            for season in range(1, seasons + 1):
                draw = draw_season(world, seed, season, tuple(range(WEEKS)))
                farm = Farm()
                lines = play(draw, draw.days, by_short_habit(draw, (seed, season, 7), met=met), farm)
                truth = sum(max(line.wanted - line.stock, 0) for line in lines if line.stock > 0)
                yield Trial(world.name, season, met, truth, look([one for one in farm.records if not one["cancelled"]]))


def report(found: Sequence[Trial], seed: int, seasons: int) -> Json:
    """The answer of `try_missed_sales`: by share of days met, how far off and how often the range held the truth."""
    rows: list[Json] = []
    for met in sorted({trial.met for trial in found}):
        own = [trial for trial in found if trial.met == met]
        errors = [trial.error for trial in own]
        rows.append(
            {
                "days_met": met,
                "stalls": len(own),
                "mean_log_error": round(fmean(errors), 4),
                "sd_log_error": round(pstdev(errors), 4),
                "range_holds": round(fmean(trial.holds for trial in own), 4),
            }
        )
    return {
        "format": 1,
        "asked": {"seed": seed, "seasons": seasons, "worlds": sorted({trial.world for trial in found})},
        "goal": {"range_holds": 0.8},
        "shares": rows,
    }


def all_worlds() -> list[World]:
    return list(WORLDS.values())
