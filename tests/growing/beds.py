"""Spaces, schedules and plantings for the tests of what happens to plants. The farm's clock says 09:00 at NOW."""

from datetime import UTC, date, datetime, time

from farmops.farm.models import Farm
from farmops.growing.models import Planting, Schedule, Space, SpaceKind, SpaceSpell, Stage, Stay, Variety
from farmops.journal.deed import Saying
from tests.journal.entries import an_entry

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
SOWN, TODAY = date(2026, 4, 13), date(2026, 5, 4)


def saying(key, day=TODAY, **other):
    """Said at the farm's 09:00 of its day."""
    now = datetime.combine(max(day, TODAY), time(13), UTC)
    return Saying(**{"key": key, "body": {"form": key}, "day": day, "said_at": now, "now": now, **other})


def a_kind(name="finishing channel", walk_order=0):
    Farm.objects.get_or_create(defaults={"name": "Two Brooks", "latitude": 42, "time_zone": "America/New_York"})
    return SpaceKind.objects.get_or_create(name=name, defaults={"walk_order": walk_order})[0]


def a_space(name, places=18, kind="finishing channel"):
    space = Space.objects.create(name=name, kind=a_kind(kind))
    SpaceSpell.objects.create(space=space, places=places)
    return space


def a_variety(name="green butterhead", **other):
    return Variety.objects.get_or_create(name=name, defaults={"crop": "lettuce", **other})[0]


def a_schedule(variety, *stages, **other):
    """Stages as (kind, days, plants on a place); days may be a table of the year. They are ready when they leave."""
    facts = {"way": "head", "unit": "head", "units_per_plant": 1, "stands_good_days": 0, **other}
    schedule = Schedule.objects.create(variety=variety, **facts)
    for number, (kind, days, per_place) in enumerate(stages, 1):
        table = {"days_by_date": days, "days": 1} if isinstance(days, str) else {"days": days}
        Stage.objects.create(
            schedule=schedule,
            number=number,
            name=kind,
            kind=a_kind(kind),
            plants_per_place=per_place,
            survive_percent=100,
            light_response_percent=0,
            **table,
        )
    return schedule


def a_planting(code="P-1", plants=120, variety=None, **other):
    a_kind()
    facts = {"state": "done", "sown_on": SOWN, "entry": an_entry(f"planting {code}"), **other}
    return Planting.objects.create(code=code, variety=variety or a_variety(), plants=plants, **facts)


def a_stay(planting, space, plants=None, from_on=None, **other):
    facts = {"plants": plants or planting.plants, "from_on": from_on or planting.sown_on, "entry": planting.entry}
    return Stay.objects.create(planting=planting, space=space, **{**facts, **other})
