"""A variety's schedule: its version, its stages, and when plants usually leave."""

from datetime import date

import pytest

from farmops.core.growth import Place
from farmops.core.light import Cover
from farmops.farm.models import Farm
from farmops.growing.models import Schedule
from farmops.growing.pace import farm_place, need_of, paces_of
from tests.growing.beds import SOWN, a_kind, a_planting, a_schedule, a_variety

pytestmark = pytest.mark.django_db


@pytest.fixture
def pace():
    variety = a_variety()
    a_schedule(variety, ("seedling shelf", 14, 72), ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    return paces_of([a_planting(variety=variety)]).popitem()[1]


def test_stages_are_found_by_number_and_by_kind_of_space(pace):
    shelf, nursery, finishing = pace.stages
    assert [pace.stage(number) for number in (1, 3, 9)] == [shelf, finishing, finishing]
    assert pace.stage_in(a_kind("nursery channel")) == nursery
    assert pace.stage_in(a_kind("bed")) == shelf
    assert pace.stage_in(a_kind("bed"), 2) == nursery
    assert [pace.first_in(a_kind("nursery channel"), after) for after in (0, 2, 3)] == [nursery, nursery, None]
    assert [pace.after(stage) for stage in pace.stages] == [nursery, finishing, None]


@pytest.mark.parametrize(
    ("facts", "days"),
    [
        ({"way": "head", "stands_good_days": 12}, 12),
        ({"way": "cut", "stands_good_days": 5, "cuttings": "100;80;60", "days_between": 14}, 33),
        ({"way": "picked", "pick_weeks": 6}, 42),
    ],
)
def test_the_last_stage_lasts_until_it_is_harvested(facts, days):
    variety = a_variety()
    a_schedule(variety, ("bed", 20, 1), **facts)
    pace = paces_of([a_planting(variety=variety)]).popitem()[1]
    assert pace.days_of_harvest() == days
    end = pace.usual_end(pace.stages[0], SOWN, farm_place())
    assert (end - SOWN).days == 20 + days


def test_a_planting_follows_its_own_version_else_that_of_its_day():
    variety = a_variety()
    first = a_schedule(variety, ("bed", 20, 1))
    later = a_schedule(variety, ("bed", 30, 1), valid_from=date(2026, 4, 10))
    old, new = a_planting("P-1", variety=variety, sown_on=date(2026, 4, 9)), a_planting("P-2", variety=variety)
    own = a_planting("P-3", variety=variety, schedule=first)
    found = paces_of([old, new, own])
    assert [found[one.pk].schedule for one in (old, new, own)] == [first, later, first]


def test_a_sowing_before_every_version_follows_the_first_and_one_without_stages_has_none():
    variety = a_variety()
    only = a_schedule(variety, ("bed", 20, 1), valid_from=date(2027, 1, 1))
    planting, other = a_planting(variety=variety), a_planting("P-2", variety=a_variety("sorrel"))
    Schedule.objects.create(variety=other.variety, way="head", unit="head", units_per_plant=1)  # and no stages
    found = paces_of([planting, other])
    assert (found[planting.pk].schedule, other.pk in found) == (only, False)


def test_the_farm_says_where_it_lies_and_when_it_is_dark():
    a_kind()
    Farm.objects.update(latitude="51.5", dark_first="11-07", dark_end="02-04", dark_pace_percent=40)
    assert farm_place() == Place(51.5, 0.4, (11, 7), (2, 4))


def test_without_a_word_the_first_stage_keeps_its_days_and_later_ones_go_half_with_the_light(pace):
    for stage in pace.stages:
        stage.light_response_percent = None
    assert [need_of(stage).response for stage in pace.stages] == [0.0, 0.5, 0.5]


def test_shade_and_lamps_of_the_kind_are_what_its_stages_grow_under(pace):
    shelf = pace.stages[0]
    assert need_of(shelf).cover is None
    shelf.kind.shade_by_date = "05-15=40;09-01=0"
    shelf.kind.lamp_hours_by_date, shelf.kind.lamp_light = "11-01=6;02-15=0", 80
    assert need_of(shelf).cover == Cover((((5, 15), 0.4), ((9, 1), 0.0)), (((11, 1), 6.0), ((2, 15), 0.0)), 80.0)
