"""Plantings as they really stand, from Monday to Monday: they grow, move, wait, are cut, go past their best."""

import math
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from farmops.core.sizing import Stage
from farmops.core.sizing.stages import DAYS
from farmops.proving.sizing_farms import PART_PLANTS, cuttings_of, stands_weeks
from farmops.proving.sown.farm import Farm
from farmops.proving.sown.luck import Luck, real_stages

NOTHING = 1e-6
FITS = 0.2  # of a planting: where that much finds room it moves, and the rest waits
PASSED = 1e-9  # of a week: a stage that ends on a Monday is over on it


@dataclass(slots=True)
class Planting:
    """Parts sown in one week. plants: those that entered the present stage; heads: ready and still standing."""

    key: str
    item: int
    sown: int
    parts: float
    stages: tuple[Stage, ...]  # as they really go
    lost: int  # the stage from which nothing comes out, or -1
    plants: float
    held: int = 0  # weeks it waited for room
    stage: int = 0
    first: int | None = None  # week it became ready
    alive: float = 0.0  # when it became ready
    per_head: float = 0.0  # places
    heads: float = 0.0
    seen: list[tuple[float, float]] = field(default_factory=list)  # days, and share that survived, of each stage over

    def over(self, stages: int | None = None) -> int:
        """The Monday on which the present stage (or the first so many) is over."""
        count = self.stage + 1 if stages is None else stages
        days = sum(stage.days for stage in self.stages[:count])
        return self.sown + self.held + math.ceil(days / DAYS - PASSED)

    @property
    def is_last(self) -> bool:
        return self.stage == len(self.stages) - 1


@dataclass(slots=True)
class Greenhouse:
    """All that stands. spoiled: items that went past their best, by item, since they were last counted."""

    farm: Farm
    luck: Luck
    plantings: list[Planting] = field(default_factory=list)
    gone: list[Planting] = field(default_factory=list)  # ready once, or lost: what their days told stays known
    parted: int = 0  # plantings that were divided
    spoiled: dict[int, float] = field(default_factory=lambda: defaultdict(float))

    def begin(self, week: int) -> None:
        """Monday: what is over goes, what is ready is counted."""
        for planting in list(self.plantings):
            if planting.first is None and planting.is_last and planting.over() <= week:
                self._ready(planting, week)
            if planting.first is not None and self._is_past(planting, week):
                self.spoiled[planting.item] += planting.heads
                self._remove(planting)

    def _ready(self, planting: Planting, week: int) -> None:
        last, crop = planting.stages[-1], self.farm.crops[planting.item]
        share = 0.0 if planting.lost == planting.stage else last.survives
        planting.seen.append((last.days, share))
        planting.first = week
        planting.alive = planting.plants * share
        if crop.grows == "heads" and planting.alive > 0:
            planting.heads = planting.alive * crop.per_plant
            planting.per_head = planting.plants * last.places / planting.heads
        if planting.alive <= 0:
            self._remove(planting)

    def _is_past(self, planting: Planting, week: int) -> bool:
        if planting not in self.plantings or planting.first is None:
            return False
        crop = self.farm.crops[planting.item]
        if crop.grows == "heads":
            return week >= planting.first + stands_weeks(planting.sown) or planting.heads <= NOTHING
        last = cuttings_of(crop, planting.sown)[-1]
        return week >= planting.first + last.after + last.weeks

    def _remove(self, planting: Planting) -> None:
        if planting in self.plantings:
            self.plantings.remove(planting)
            self.gone.append(planting)

    def used(self) -> dict[str, float]:
        """Places of each kind that are taken now."""
        taken: dict[str, float] = defaultdict(float)
        for planting in self.plantings:
            stage = planting.stages[planting.stage]
            taken[stage.kind] += (
                planting.heads * planting.per_head if planting.heads > 0 else planting.plants * stage.places
            )
        return taken

    def move(self, week: int, gives_way: Callable[[str, float], None]) -> None:
        """All that is due moves on, the oldest first, from the last stages back; what finds little room waits a week.

        gives_way: is told the kind and the places missing, and may clear what stands there.
        """
        due = [one for one in self.plantings if not one.is_last and one.over() <= week]
        for planting in sorted(due, key=lambda one: (-one.stage, one.sown, one.item)):
            share = 0.0 if planting.lost == planting.stage else planting.stages[planting.stage].survives
            following = planting.stages[planting.stage + 1]
            need = planting.plants * share * following.places
            if need > self._free(following.kind) + NOTHING:
                gives_way(following.kind, need - self._free(following.kind))
            fits = min(1.0, (self._free(following.kind) + NOTHING) / need) if need > 0 else 1.0
            if planting not in self.plantings:
                continue
            if fits < FITS:
                planting.held += 1
                continue
            if fits < 1.0:
                self._hold_back(planting, 1.0 - fits)
            planting.seen.append((planting.stages[planting.stage].days, share))
            planting.plants *= share
            planting.stage += 1
            if share == 0.0:
                self._remove(planting)

    def _hold_back(self, planting: Planting, part: float) -> None:
        """The part that finds no room stays where it is for a week, as a planting of its own."""
        self.parted += 1
        rest = replace(planting, key=f"{planting.key} part {self.parted}", seen=list(planting.seen))
        rest.plants, rest.parts, rest.held = planting.plants * part, planting.parts * part, planting.held + 1
        planting.plants *= 1.0 - part
        planting.parts *= 1.0 - part
        self.plantings.append(rest)

    def _free(self, kind: str) -> float:
        return self.farm.places[kind] - self.used()[kind]

    def sow(self, week: int, parts: Mapping[int, float]) -> dict[int, float]:
        """Sow what there is room for, and say how much that was."""
        done: dict[int, float] = {}
        for item, wanted in parts.items():
            stages = real_stages(self.farm, self.luck, item, week)
            each = PART_PLANTS * stages[0].places
            count = min(float(wanted), math.floor(max(0.0, self._free(stages[0].kind)) / each + NOTHING))
            if count >= 1:
                lost = int(self.luck.lost[item, week])
                key = f"{self.farm.crops[item].key} sown {week}"
                self.plantings.append(Planting(key, item, week, count, stages, lost, count * PART_PLANTS))
                done[item] = count
        return done

    def ready(self, item: int, week: int) -> float:
        """Items that can be cut this week."""
        return sum(self.gives(planting, week) for planting in self.plantings if planting.item == item)

    def gives(self, planting: Planting, week: int) -> float:
        """Items that one planting has to give this week."""
        if planting.first is None:
            return 0.0
        crop = self.farm.crops[planting.item]
        if crop.grows == "heads":
            return planting.heads
        return sum(
            planting.alive * cutting.items_per_plant / cutting.weeks
            for cutting in cuttings_of(crop, planting.sown)
            if planting.first + cutting.after <= week < planting.first + cutting.after + cutting.weeks
        )

    def cut(self, item: int, week: int, amount: float) -> None:
        """Take heads, the oldest first; what is cut and not taken is lost and counted as spoiled."""
        if self.farm.crops[item].grows != "heads":
            self.spoiled[item] += max(0.0, self.ready(item, week) - amount)
            return
        for planting in sorted(self.plantings, key=lambda one: one.sown):
            if planting.item == item and planting.heads > 0:
                taken = min(planting.heads, amount)
                planting.heads -= taken
                amount -= taken
                if planting.heads <= NOTHING:
                    self._remove(planting)

    def clear(self, planting: Planting, kept: float) -> None:
        """Keep only a share of a planting."""
        planting.plants *= kept
        planting.alive *= kept
        self.spoiled[planting.item] += planting.heads * (1 - kept)
        planting.heads *= kept
        if kept <= NOTHING:
            self._remove(planting)
