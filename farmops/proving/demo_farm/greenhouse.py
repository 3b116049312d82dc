"""The invented farm's greenhouse and beds, day by day: sown, moved when there is room, lost, cut, cleared."""

import math
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from farmops.proving.demo_farm import hidden
from farmops.proving.demo_farm.facts import SPACES, VARIETY, Variety

TOO_LONG_WAITING = 24  # days after which a planting that found no room is thrown away
CAUSES = ("did not come up", "damping off", "weak", "thinned")
CULLED = ("tip burn", "too small", "slugs", "yellow leaves")


@dataclass(slots=True)
class Stay:
    """So many plants of a planting in one space; `lost` and `cut` while they stood there."""

    planting: str
    space: str
    stage: int
    plants: int
    since: date
    until: date | None = None
    moved_from: str = ""
    lost: int = 0
    cut: int = 0

    @property
    def present(self) -> int:
        return self.plants - self.lost - self.cut


@dataclass(slots=True)
class Planting:
    """One sowing and how far it has grown; `grown` counts true growing days within its stage."""

    name: str
    variety: Variety
    sown: date
    plants: int
    seed_lot: str
    stays: list[Stay]
    stage: int = 1
    grown: float = 0.0
    held: int = 0  # days it has been waiting for room, and
    waited: int = 0  # the longest it has
    ready_on: date | None = None
    cutting: int = 0
    standing: float = 0.0  # what may be cut now, in the variety's unit
    good_for: int = 0  # days the present cutting stays good
    cleared: date | None = None
    factor: float = 1.0
    yields: float = 1.0
    stage_days: list[tuple[int, date]] = field(default_factory=list)

    @property
    def is_last_stage(self) -> bool:
        return self.stage == len(self.variety.stages)

    @property
    def on_offer(self) -> float:
        """What may be cut now: heads and bunches are whole."""
        return self.standing if self.variety.unit == "lb" else math.floor(self.standing + 1e-9)

    @property
    def alive(self) -> int:
        return sum(stay.present for stay in self.stays if stay.until is None)


@dataclass(slots=True)
class Greenhouse:
    """All spaces and plantings, and what was written down of them."""

    plantings: list[Planting] = field(default_factory=list)
    losses: list[tuple[str, str, date, int, str]] = field(default_factory=list)
    picks: dict[tuple[str, date, str, int], float] = field(default_factory=dict)
    used: dict[str, Fraction] = field(default_factory=dict)

    def growing(self) -> list[Planting]:
        return [planting for planting in self.plantings if planting.cleared is None]

    def room(self, kind: str, per_place: int, plants: int) -> list[tuple[str, int]]:
        """Spaces that take the plants, filled in order; [] where they do not all fit."""
        found: list[tuple[str, int]] = []
        for space, its_kind, places in SPACES:
            if its_kind == kind and plants > 0:
                fits = min(plants, math.floor((places - self.used.get(space, Fraction(0))) * per_place))
                if fits > 0:
                    found.append((space, fits))
                    plants -= fits
        return [] if plants else found

    def _enter(self, planting: Planting, space: str, plants: int, day: date, moved_from: str) -> None:
        stage = planting.variety.stages[planting.stage - 1]
        planting.stays.append(Stay(planting.name, space, planting.stage, plants, day, None, moved_from))
        self.used[space] = self.used.get(space, Fraction(0)) + Fraction(plants, stage.plants_per_place)

    def _leave(self, planting: Planting, stay: Stay, day: date) -> None:
        stage = planting.variety.stages[stay.stage - 1]
        stay.until = day
        self.used[stay.space] -= Fraction(stay.plants, stage.plants_per_place)

    def sow(self, variety: Variety, day: date, parts: int) -> bool:
        """Sow where the first stage has room for all of it; says whether it was sown."""
        plants = parts * variety.part_plants
        first = variety.stages[0]
        places = self.room(first.kind, first.plants_per_place, plants)
        if not places:
            return False
        number = sum(planting.sown.year == day.year for planting in self.plantings) + 1
        name = f"P{day.year % 100}-{number:03d}"
        lot = f"L{day.year % 100}-{list(VARIETY).index(variety.name) + 1:02d}"
        planting = Planting(name, variety, day, plants, lot, [])
        planting.factor = hidden.days_factor(name, variety)
        planting.yields = hidden.yield_factor(name, variety)
        for space, some in places:
            self._enter(planting, space, some, day, "")
        self.plantings.append(planting)
        return True

    def _lose(self, stay: Stay, day: date, plants: int, cause: str) -> None:
        if plants:
            stay.lost += plants
            self.losses.append((stay.planting, stay.space, day, plants, cause))

    def _thin_out(self, planting: Planting, day: date, causes: tuple[str, ...]) -> None:
        """What does not leave the stage alive (or, of the last, is not saleable) is lost now."""
        listed = planting.variety.stages[planting.stage - 1].survive
        share = hidden.stage_survival(planting.name, planting.stage, listed)
        rng = hidden.stream("lost", planting.name, planting.stage)
        for stay in planting.stays:
            if stay.until is None:
                lost = stay.present - hidden.survivors(rng, stay.present, share)
                self._lose(stay, day, lost, causes[int(rng.random() * len(causes))])

    def grow(self, day: date) -> None:
        """One day's growth; what becomes ready for cutting, what is past it."""
        for planting in self.growing():
            variety, stage = planting.variety, planting.variety.stages[planting.stage - 1]
            step = hidden.pace(day, variety)
            planting.grown += step
            if not planting.is_last_stage:
                continue
            if planting.ready_on is None:
                if planting.grown >= stage.days * planting.factor:
                    self._make_ready(planting, day)
            elif variety.harvest == "picked":
                most = 2 * planting.alive * float(variety.units_per_plant) * planting.yields
                planting.standing = min(most, planting.standing + most / 14 * step)
                if (day - planting.ready_on).days >= 7 * variety.pick_weeks:
                    self.clear(planting, day)
            else:
                self._age(planting, day)

    def _make_ready(self, planting: Planting, day: date) -> None:
        variety = planting.variety
        self._thin_out(planting, day, CULLED)
        planting.stage_days.append((planting.stage, day))
        planting.ready_on, planting.good_for, planting.cutting = day, variety.stands_good, 1
        each = 1.0 if variety.harvest == "head" else float(variety.units_per_plant) * planting.yields
        planting.standing = planting.alive * each

    def _age(self, planting: Planting, day: date) -> None:
        """Heads and cuttings that stand too long are lost; a cut crop begins its next cutting when the last is done."""
        variety = planting.variety
        if planting.standing > 0:
            planting.good_for -= 1
            if planting.good_for > 0:
                return
            planting.standing = 0.0
            if variety.harvest == "head":
                for stay in planting.stays:
                    if stay.until is None:
                        self._lose(stay, day, stay.present, "went to seed")
                self.clear(planting, day)
                return
            planting.grown = 0.0
        if planting.cutting >= len(variety.cuttings):
            self.clear(planting, day)
        elif planting.grown >= variety.days_between * planting.factor:
            share = variety.cuttings[planting.cutting] / 100
            planting.cutting, planting.good_for = planting.cutting + 1, variety.stands_good
            planting.standing = planting.alive * float(variety.units_per_plant) * planting.yields * share

    def move(self, day: date) -> None:
        """Move on what has grown enough and finds room, the oldest first."""
        for planting in self.growing():
            stage = planting.variety.stages[planting.stage - 1]
            if planting.is_last_stage or planting.grown < stage.days * planting.factor:
                continue
            if planting.held == 0:
                self._thin_out(planting, day, CAUSES)
            standing = [stay for stay in planting.stays if stay.until is None and stay.present]
            onward = planting.variety.stages[planting.stage]
            if not self.room(onward.kind, onward.plants_per_place, planting.alive):
                planting.held += 3 if day.weekday() else 4
                planting.waited = max(planting.waited, planting.held)
                if planting.held > TOO_LONG_WAITING:
                    for stay in standing:
                        self._lose(stay, day, stay.present, "too big, no room")
                    self.clear(planting, day)
                continue
            planting.stage_days.append((planting.stage, day))
            planting.stage += 1
            planting.grown, planting.held = 0.0, 0
            for stay in [stay for stay in planting.stays if stay.until is None]:
                plants = stay.present
                self._leave(planting, stay, day)
                for space, some in self.room(onward.kind, onward.plants_per_place, plants):
                    self._enter(planting, space, some, day, stay.space)

    def cut(self, variety: str, amount: float, day: date) -> float:
        """Cut up to `amount`, the oldest planting first; what was got, in the variety's unit."""
        got = 0.0
        for planting in self.growing():
            if planting.variety.name != variety or planting.on_offer <= 0 or got >= amount - 1e-9:
                continue
            take = min(planting.on_offer, amount - got)
            planting.standing -= take
            got += take
            if planting.variety.harvest == "head":
                self._cut_heads(planting, round(take), day)
            else:
                number = planting.cutting if planting.variety.harvest == "cut" else 0
                key = (planting.name, day, "", number)
                self.picks[key] = self.picks.get(key, 0.0) + take
                if planting.variety.harvest == "cut" and planting.on_offer < 0.02 * take:
                    planting.standing, planting.grown = 0.0, 0.0
        return got

    def _cut_heads(self, planting: Planting, heads: int, day: date) -> None:
        for stay in planting.stays:
            take = min(heads, stay.present) if stay.until is None else 0
            if take:
                stay.cut += take
                heads -= take
                key = (planting.name, day, stay.space, 0)
                self.picks[key] = self.picks.get(key, 0.0) + take
                if not stay.present:
                    self._leave(planting, stay, day)
        if not planting.alive:
            planting.cleared = day

    def clear(self, planting: Planting, day: date) -> None:
        """Clear what is left of a planting; its places are free the same day."""
        planting.cleared = day
        for stay in planting.stays:
            if stay.until is None:
                self._leave(planting, stay, day)
