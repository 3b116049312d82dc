"""Rules of varieties, schedules and seed lots hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.growing.models import Schedule, SeedLot, SpaceKind, Stage, Variety

pytestmark = pytest.mark.django_db
MAY = date(2026, 5, 1)


@pytest.fixture
def variety():
    return Variety.objects.create(name="green butterhead", crop="lettuce")


def schedule(variety, **other):
    return Schedule(**{"variety": variety, "way": "head", "unit": "head", "units_per_plant": 1, **other})


def test_varieties_have_names_of_their_own_and_parts_with_plants(variety):
    with pytest.raises(IntegrityError):
        Variety.objects.bulk_create([Variety(name="Green Butterhead", crop="lettuce")])


def test_a_part_holds_plants():
    with pytest.raises(IntegrityError, match="variety_part_has_plants"):
        Variety.objects.bulk_create([Variety(name="cress", crop="cress", part_plants=0)])


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        ({"units_per_plant": 0}, "schedule_gives_something"),
        ({"packed_percent": 0}, "schedule_packed_is_a_share"),
        ({"packed_percent": 101}, "schedule_packed_is_a_share"),
    ],
)
def test_a_schedule_that_breaks_a_rule_is_not_stored(variety, wrong, rule):
    with pytest.raises(IntegrityError, match=rule):
        Schedule.objects.bulk_create([schedule(variety, **wrong)])


@pytest.mark.parametrize("day", [MAY, None], ids=["the same day", "from the beginning"])
def test_versions_begin_on_days_of_their_own(variety, day):
    with pytest.raises(IntegrityError):
        Schedule.objects.bulk_create([schedule(variety, valid_from=day), schedule(variety, valid_from=day)])


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        ({"plants_per_place": 0}, "stage_has_room_for_plants"),
        ({"survive_percent": 0}, "stage_survive_is_a_share"),
        ({"survive_percent": 101}, "stage_survive_is_a_share"),
    ],
)
def test_a_stage_that_breaks_a_rule_is_not_stored(variety, wrong, rule):
    version = schedule(variety)
    version.save()
    facts = {"number": 1, "name": "shelf", "days": 14, "plants_per_place": 72, "survive_percent": 93, **wrong}
    with pytest.raises(IntegrityError, match=rule):
        Stage.objects.bulk_create([Stage(schedule=version, kind=SpaceKind.objects.create(name="shelf"), **facts)])


def test_stages_are_numbered_once(variety):
    version = schedule(variety)
    version.save()
    kind = SpaceKind.objects.create(name="shelf")
    facts = {"number": 1, "name": "shelf", "days": 14, "plants_per_place": 72, "survive_percent": 93, "kind": kind}
    with pytest.raises(IntegrityError):
        Stage.objects.bulk_create([Stage(schedule=version, **facts), Stage(schedule=version, **facts)])


@pytest.mark.parametrize("percent", [-1, 101])
def test_germination_is_a_share(variety, percent):
    with pytest.raises(IntegrityError, match="seed_lot_germination_is_a_share"):
        SeedLot.objects.bulk_create([SeedLot(name="S-1", variety=variety, germination_percent=percent)])


def test_seed_lots_have_numbers_of_their_own(variety):
    with pytest.raises(IntegrityError):
        SeedLot.objects.bulk_create([SeedLot(name="S-1", variety=variety), SeedLot(name="s-1", variety=variety)])
