"""Rows of sheets to what core reckons with: schedules by version, plantings with their records, the farm's own pace."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from farmops.core.coming import Outlook
from farmops.core.growth import Need, Place, Slowness
from farmops.core.light import Cover
from farmops.core.quantities import NG, is_mass, unit_name
from farmops.core.schedule import Lost, Picked, Planting, Schedule, Stage, Stand, Walked, Way
from farmops.core.supply import outlook
from farmops.planning.own_pace import own_pace, told_by
from farmops.planning.rows import FarmRows, KindLight, ScheduleStage, Stay, Walk

USUAL_RESPONSE = 0.5  # stages after the first, where nothing is said: half way to "half the light, twice the days"


@dataclass(frozen=True, slots=True)
class Growing:
    """Everything planning knows about what grows.

    Attributes
    ----------
    place : Place
    plantings : tuple of Planting
        Sown by `as_of`, not planned ones.
    own : mapping of variety to Slowness
    outlooks : tuple of Outlook
        One for each planting, in the same order.
    """

    place: Place
    plantings: tuple[Planting, ...]
    own: Mapping[str, Slowness]
    outlooks: tuple[Outlook, ...]


def growing_of(
    rows: FarmRows,
    as_of: date,
    pace: Mapping[str, Slowness] | None = None,
    kinds: Mapping[str, str] | None = None,
) -> Growing:
    """Follow every planting that stands, from its records up to and including a day.

    Parameters
    ----------
    rows : FarmRows
    as_of : date
    pace : mapping of variety to Slowness, optional
        The farm's own pace where it was learned before, from more plantings than stand in `rows`.
    kinds : mapping of space to kind, optional
        Where `rows` holds no spaces.
    """
    place = place_of(rows)
    sown = plantings_of(rows, as_of, kinds)
    if pace is None:
        told = [told_by(planting) for planting in sown]
        pace = own_pace(told, place, as_of, rows.the_farm.harvest_days, schedules_of(rows))
    standing = [planting for planting in sown if planting.cleared is None or planting.cleared > as_of]
    outlooks = [outlook(planting, place, as_of, pace.get(planting.variety)) for planting in standing]
    return Growing(place, tuple(standing), pace, tuple(outlooks))


def place_of(rows: FarmRows) -> Place:
    """The farm's light and dark weeks."""
    farm = rows.the_farm
    return Place(float(farm.latitude), float(farm.dark_pace), farm.dark_first_day, farm.dark_end_day)


def convert(amount: Decimal, unit: str, to_unit: str) -> Decimal:
    """An amount in another unit of the same kind.

    Raises
    ------
    ValueError
        If one is a weight and the other is not, or they count different things.
    """
    if is_mass(unit) and is_mass(to_unit):
        return amount * NG[unit_name(unit)] / NG[unit_name(to_unit)]
    if unit_name(unit) != unit_name(to_unit):
        raise ValueError(f"{unit} cannot be counted in {to_unit}")
    return amount


def schedules_of(rows: FarmRows) -> dict[str, list[tuple[date, Schedule]]]:
    """Versions of each variety's schedule, with the day from which each holds, earliest first."""
    stages: dict[tuple[str, date], list[ScheduleStage]] = defaultdict(list)
    lights = lights_of(rows)
    for stage in rows.schedules:
        stages[stage.variety, stage.valid_from or date.min].append(stage)
    versions: dict[str, list[tuple[date, Schedule]]] = defaultdict(list)
    for (variety, valid_from), of_version in sorted(stages.items()):
        versions[variety].append((valid_from, _schedule(sorted(of_version, key=lambda stage: stage.stage), lights)))
    return versions


def lights_of(rows: FarmRows) -> dict[str, KindLight]:
    """Shade and lamps by kind of space."""
    found = {light.kind: light for light in rows.lights}
    for space in rows.spaces:
        if space.shade or space.lamp_hours:
            found.setdefault(space.kind, KindLight(space.kind, space.shade, space.lamp_hours, space.lamp_light))
    return found


def cover_of(light: KindLight | None) -> Cover | None:
    """As core takes it: shares for percent."""
    if light is None:
        return None
    shade = tuple((since, float(percent) / 100.0) for since, percent in light.shade)
    return Cover(shade, tuple((since, float(hours)) for since, hours in light.lamp_hours), float(light.lamp_light or 0))


def schedule_on(versions: Sequence[tuple[date, Schedule]], sown: date) -> Schedule:
    """The version a sowing of a day follows: the latest begun by then, else the first there is."""
    return next((schedule for day, schedule in reversed(versions) if day <= sown), versions[0][1])


def _schedule(stages: Sequence[ScheduleStage], lights: Mapping[str, KindLight]) -> Schedule:
    last = stages[-1]
    covers = [cover_of(lights.get(stage.kind)) for stage in stages]
    regrowth = None
    if last.days_between:
        regrowth = Need(float(last.days_between), last.days_at, _response(last), cover=covers[-1])
    return Schedule(
        stages=tuple(
            Stage(
                stage.stage_name, stage.kind, _need(stage, cover), float(stage.plants_per_place), float(stage.survive)
            )
            for stage, cover in zip(stages, covers, strict=True)
        ),
        way=Way(last.harvest),
        unit=unit_name(last.unit),
        per_plant=float(last.units_per_plant or 1),
        packed=float(last.packed),
        cuttings=tuple(float(share) for share in last.cuttings) or (1.0,),
        regrowth=regrowth,
        pick_weeks=last.pick_weeks or 0,
        stands_days=max(1, last.stands_good_days),
    )


def _need(stage: ScheduleStage, cover: Cover | None) -> Need:
    table = tuple((month_day, float(days)) for month_day, days in stage.days_by_date)
    return Need(float(stage.days), stage.days_at, _response(stage), table, cover)


def _response(stage: ScheduleStage) -> float:
    if stage.light_response is not None:
        return float(stage.light_response)
    return 0.0 if stage.stage == 1 else USUAL_RESPONSE


def plantings_of(rows: FarmRows, as_of: date, kinds: Mapping[str, str] | None = None) -> list[Planting]:
    """Plantings sown by a day, with all that was noted by then; `kinds` of spaces where `rows` holds none."""
    versions = schedules_of(rows)
    if kinds is None:
        kinds = {space.space: space.kind for space in rows.spaces}
    stays, losses, picks, walks = defaultdict(list), defaultdict(list), defaultdict(list), defaultdict(list)
    for stay in rows.stays:
        stays[stay.planting].append(stay)
    for loss in rows.losses:
        losses[loss.planting].append(Lost(loss.day, float(loss.plants), loss.space))
    for pick in rows.picks:
        picks[pick.planting].append(pick)
    for walk in rows.walks:
        walks[walk.planting].append(walked(walk))
    found = []
    for row in rows.plantings:
        if row.sown > as_of or row.state == "planned" or row.variety not in versions:
            continue
        schedule = schedule_on(versions[row.variety], row.sown)
        stands = [
            _stand(stay, kinds[stay.space], schedule)
            for stay in stays[row.planting]
            if stay.state == "done" and stay.from_day <= as_of
        ]
        picked = [
            Picked(pick.day, _as_cut(pick.amount, pick.unit, schedule.unit), pick.cutting, pick.space)
            for pick in picks[row.planting]
            if pick.day <= as_of
        ]
        found.append(
            Planting(
                row.planting,
                row.variety,
                schedule,
                row.sown,
                float(row.plants),
                tuple(stands),
                tuple(losses[row.planting]),
                tuple(picked),
                tuple(walks[row.planting]),
                row.cleared if row.cleared is not None and row.cleared <= as_of else None,
            )
        )
    return found


def _as_cut(amount: Decimal, unit: str, to_unit: str) -> float:
    """A pick in the schedule's unit; one that was counted where others are weighed tells of its day, not how much."""
    try:
        return float(convert(amount, unit, to_unit))
    except ValueError:
        return 0.0


def _stand(stay: Stay, kind: str, schedule: Schedule) -> Stand:
    stage = stage_of(schedule, kind, stay.stage or 0)
    places = None if stay.places is None else float(stay.places)
    return Stand(stay.space, kind, stage, float(stay.plants), stay.from_day, stay.to_day, places)


def stage_of(schedule: Schedule, kind: str, noted: int = 0) -> int:
    """The stage that a stay is in, from 0: the one noted (from 1), else the first that stands in this kind of space."""
    if noted:
        return min(noted, len(schedule.stages)) - 1
    return next((number for number, one in enumerate(schedule.stages) if one.kind == kind), 0)


def walked(row: Walk) -> Walked:
    """What was seen, as core takes it."""
    ready = None if row.ready is None else float(row.ready)
    late = None if row.days_late is None else float(row.days_late)
    return Walked(row.day, row.by, ready, late, bool(row.finished))
