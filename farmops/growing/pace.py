"""A variety's schedule as the arithmetic takes it: which stage stands where, how densely, and until when."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from farmops.core.calendar import MonthDay
from farmops.core.growth import Need, Place, over_on
from farmops.core.light import Cover
from farmops.farm.days import the_farm
from farmops.growing.models import Planting, Schedule, SpaceKind, Stage

USUAL_RESPONSE = 0.5  # stages after the first, where nothing is said: half way to "half the light, twice the days"
SOMEWHERE = Place(42.0)  # until the farm says where it lies


@dataclass(frozen=True, slots=True)
class Pace:
    """One version of a schedule with its stages in order."""

    schedule: Schedule
    stages: tuple[Stage, ...]

    def stage(self, number: int | None) -> Stage | None:
        """A stage by its number; past the last one it is the last."""
        if not self.stages:
            return None
        return next((stage for stage in self.stages if stage.number == number), self.stages[-1])

    def first_in(self, kind: SpaceKind, after: int = 0) -> Stage | None:
        """The first stage from number `after` on that stands in a kind of space."""
        return next((stage for stage in self.stages if stage.kind_id == kind.pk and stage.number >= after), None)

    def stage_in(self, kind: SpaceKind, noted: int | None = None) -> Stage | None:
        """The stage noted, else the first that stands in this kind of space, else the first of all."""
        return self.stage_at(kind.pk, noted)

    def stage_at(self, kind: int, noted: int | None = None) -> Stage | None:
        """As `stage_in`, for the key of a kind."""
        if noted is not None:
            return self.stage(noted)
        here = (stage for stage in self.stages if stage.kind_id == kind)
        return next(here, self.stages[0] if self.stages else None)

    def after(self, stage: Stage) -> Stage | None:
        """The stage that follows; None after the last."""
        return next((one for one in self.stages if one.number > stage.number), None)

    def usual_end(self, stage: Stage, entered: date, place: Place) -> date:
        """The day on which plants usually leave a stage they entered on a day; out of the last when it is harvested."""
        end = over_on(need_of(stage), place, entered)
        if stage is not self.stages[-1]:
            return end
        return end + timedelta(days=self.days_of_harvest())

    def days_of_harvest(self) -> int:
        """Days from ready to the usual end: standing good, further cuttings, or weeks of picking."""
        schedule = self.schedule
        if schedule.way == Schedule.Way.PICKED:
            return 7 * (schedule.pick_weeks or 1)
        again = max(len([part for part in schedule.cuttings.split(";") if part.strip()]) - 1, 0)
        return schedule.stands_good_days + round(again * float(schedule.days_between or 0))


def farm_place() -> Place:
    """The farm's light and dark weeks."""
    farm = the_farm()
    if farm is None:
        return SOMEWHERE
    first, end = (month_day(text) if text else None for text in (farm.dark_first, farm.dark_end))
    return Place(float(farm.latitude), float(farm.dark_pace_percent) / 100.0, first, end)


def month_day(text: str) -> MonthDay:
    month, day = text.split("-")
    return int(month), int(day)


def need_of(stage: Stage) -> Need:
    """What a stage needs, from its row."""
    if stage.light_response_percent is not None:
        response = float(stage.light_response_percent) / 100.0
    else:
        response = 0.0 if stage.number == 1 else USUAL_RESPONSE
    return Need(
        float(stage.days), month_day(stage.days_at), response, by_date(stage.days_by_date), cover_of(stage.kind)
    )


def by_date(text: str) -> tuple[tuple[MonthDay, float], ...]:
    """03-30=60;06-29=38 as days of the year and numbers."""
    points = (point.split("=") for point in text.split(";") if point.strip())
    return tuple((month_day(when.strip()), float(number)) for when, number in points)


def cover_of(kind: SpaceKind) -> Cover | None:
    """Shade and lamps of a kind of space; None where there are none."""
    if not kind.shade_by_date and not kind.lamp_hours_by_date:
        return None
    shade = tuple((since, percent / 100.0) for since, percent in by_date(kind.shade_by_date))
    return Cover(shade, by_date(kind.lamp_hours_by_date), float(kind.lamp_light or 0))


def paces_of(plantings: Iterable[Planting]) -> dict[int, Pace]:
    """Each planting's schedule, by its key: the version it was sown by, else the version of its day. One query.

    A version without stages tells nothing, and is as if it were not there.
    """
    plantings = list(plantings)
    stages: dict[int, list[Stage]] = defaultdict(list)
    versions: dict[int, dict[int, Schedule]] = defaultdict(dict)
    rows = Stage.objects.filter(schedule__variety__in={planting.variety_id for planting in plantings})
    for stage in rows.select_related("schedule", "kind"):
        stages[stage.schedule_id].append(stage)
        versions[stage.schedule.variety_id][stage.schedule_id] = stage.schedule
    paces = {
        schedule.pk: Pace(schedule, tuple(sorted(stages[schedule.pk], key=lambda stage: stage.number)))
        for of_variety in versions.values()
        for schedule in of_variety.values()
    }
    found = {}
    for planting in plantings:
        version = version_of(planting, tuple(versions[planting.variety_id].values()))
        if version is not None:
            found[planting.pk] = paces[version.pk]
    return found


def version_of(planting: Planting, versions: Sequence[Schedule]) -> Schedule | None:
    """The version a planting follows: its own, else the latest begun by its day, else the first there is."""
    of_variety = sorted(versions, key=lambda one: one.valid_from or date.min)
    own = next((one for one in of_variety if one.pk == planting.schedule_id), None)
    if own is not None:
        return own
    begun = [one for one in of_variety if (one.valid_from or date.min) <= planting.sown_on]
    return begun[-1] if begun else next(iter(of_variety), None)
