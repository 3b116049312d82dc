"""A farm whose plants grow by a hidden course through the year, drawn day by day, with the records it would keep.

Shares nothing with what learns from it: its own sun, its own count of days. Parameters are those of `Hidden`.
"""

import math
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

import numpy as np

from farmops.planning.rows import Farm, FarmRows, Pick, Planting, ScheduleStage, Space, Stay

DAY = timedelta(days=1)
LATITUDE = 42.4
STAGES = (("shelf", 14, 0.0), ("nursery", 14, 0.5), ("channel", 28, 0.5))  # kind, days on 20 March, response to light
HARVEST_DAYS = (1, 4)  # Tuesday, Friday
MOVING_DAYS = (0, 3)
STANDS_GOOD = 12


@dataclass(frozen=True)
class Hidden:
    """How the farm's plants truly grow.

    varieties: factor on days the year round, for each; autumn: another factor from September to November.
    planting, spell: spread of single plantings, and of weeks that all share. waits: share of plantings that are cut
    only when the one before is cut out. short: share that is cut out on its first harvest day.
    """

    varieties: dict[str, float] = field(default_factory=lambda: {"green butterhead": 1.0})
    autumn: float = 1.0
    response: float = 1.0  # of the schedule's own response to light, what is true
    planting: float = 0.10
    spell: float = 0.05
    waits: float = 0.4
    short: float = 0.5


def sun(day: date) -> float:
    """Sun of a day against 20 March, by the textbook: declination from the day, no refraction, no clouds."""

    def height(number: int) -> float:
        tilt = math.radians(23.45 * math.sin(2 * math.pi * (284 + number) / 365))
        north = math.radians(LATITUDE)
        set_at = math.acos(-math.tan(north) * math.tan(tilt))
        return set_at * math.sin(north) * math.sin(tilt) + math.cos(north) * math.cos(tilt) * math.sin(set_at)

    return height(day.timetuple().tm_yday) / height(79)


@dataclass(frozen=True)
class Grown:
    """One planting as it truly grew: day of entering each stage, and of being ready; and without its own luck."""

    code: str
    variety: str
    sown: date
    entered: tuple[date, ...]
    ready: date
    usually_ready: date  # had it entered its last stage as it did, and grown as its variety usually does


class GrownFarm:
    """Sows one planting of each variety every `every` days and lets it grow."""

    def __init__(self, hidden: Hidden, seed: int, first: date, last: date, every: int = 7) -> None:
        self.hidden, self.rng = hidden, np.random.default_rng(seed)
        self.spells: dict[tuple[int, int], float] = {}
        self.grown: list[Grown] = []
        self.picks: list[Pick] = []
        for at, variety in enumerate(hidden.varieties):
            before, day, number = first, first, 0
            while day <= last:
                one = self._grow(f"P-{at}-{number}", variety, day)
                before = self._cut(one, before)
                self.grown.append(one)
                day, number = day + DAY * every, number + 1

    def _counts(self, day: date, response: float, variety: str, *, spells: bool) -> float:
        week = day.isocalendar()[:2]
        if week not in self.spells:
            self.spells[week] = math.exp(self.hidden.spell * self.rng.standard_normal())
        slow = self.hidden.varieties[variety] * (self.hidden.autumn if day.month in {9, 10, 11} else 1.0)
        return sun(day) ** (response * self.hidden.response) / slow * (self.spells[week] if spells else 1.0)

    def _over(self, stage: int, variety: str, entered: date, luck: float, *, spells: bool = True) -> date:
        day, need, response = entered, STAGES[stage][1] * luck, STAGES[stage][2]
        while need > 1e-9:
            need -= self._counts(day, response, variety, spells=spells)
            day += DAY
        return day

    def _grow(self, code: str, variety: str, sown: date) -> Grown:
        luck = math.exp(self.hidden.planting * self.rng.standard_normal())
        entered = [sown]
        for stage in range(len(STAGES) - 1):
            day = self._over(stage, variety, entered[-1], luck)
            entered.append(next(at for at in (day + DAY * n for n in range(7)) if at.weekday() in MOVING_DAYS))
        last = len(STAGES) - 1
        ready = self._over(last, variety, entered[-1], luck)
        usually = self._over(last, variety, entered[-1], 1.0, spells=False)
        return Grown(code, variety, sown, tuple(entered), ready, usually)

    def _cut(self, one: Grown, out_of_last: date) -> date:
        """Cut on one harvest day or two, from when it is ready or, some of them, when the one before is cut out."""
        waits = self.rng.random() < self.hidden.waits and one.ready < out_of_last < one.ready + DAY * STANDS_GOOD
        start = out_of_last if waits else one.ready
        lasts = 1 if self.rng.random() < self.hidden.short else 2
        days = [at for at in (start + DAY * n for n in range(8)) if at.weekday() in HARVEST_DAYS][:lasts]
        self.picks += [Pick(planting=one.code, day=day, amount=Decimal(20), unit="head") for day in days]
        return days[-1] + DAY

    def rows(self, as_of: date, codes: set[str] | None = None) -> FarmRows:
        """Its records up to a day; of some plantings only, if their codes are given."""
        kept = [one for one in self.grown if one.sown <= as_of and (codes is None or one.code in codes)]
        stays = [
            Stay(planting=one.code, space=STAGES[at][0], plants=36, from_day=day, stage=at + 1)
            for one in kept
            for at, day in enumerate(one.entered)
            if day <= as_of
        ]
        known = {one.code for one in kept}
        return FarmRows(
            farm=(
                Farm(
                    name="Grown (invented)", latitude=Decimal("42.4"), harvest_days=HARVEST_DAYS, dark_pace=Decimal(1)
                ),
            ),
            schedules=tuple(self._stage(variety, at) for variety in self.hidden.varieties for at in range(len(STAGES))),
            spaces=tuple(Space(space=kind, kind=kind, places=9999) for kind, _days, _response in STAGES),
            plantings=tuple(Planting(planting=one.code, variety=one.variety, sown=one.sown, plants=36) for one in kept),
            stays=tuple(stays),
            picks=tuple(pick for pick in self.picks if pick.planting in known and pick.day <= as_of),
        )

    def _stage(self, variety: str, at: int) -> ScheduleStage:
        kind, days, response = STAGES[at]
        is_last = at == len(STAGES) - 1
        return ScheduleStage(
            variety=variety,
            stage=at + 1,
            stage_name=kind,
            kind=kind,
            days=Decimal(days),
            light_response=Decimal(str(response)),
            plants_per_place=Decimal(1),
            survive=Decimal("0.95"),
            harvest="head" if is_last else "",
            unit="head" if is_last else "",
            units_per_plant=Decimal(1) if is_last else None,
            stands_good_days=STANDS_GOOD,
        )
