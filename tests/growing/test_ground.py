"""What stands where is read with the same few queries for one space and for all."""

from datetime import date

import pytest

from farmops.growing.ground import ground_of, rooms_of
from farmops.growing.models import Leaving, Space, SpaceSpell
from tests.growing.beds import TODAY, a_planting, a_schedule, a_space, a_stay, a_variety
from tests.growing.test_places import room_of

pytestmark = pytest.mark.django_db


def test_moved_within_a_stage_plants_keep_the_days_they_had():
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    planting = a_planting(variety=variety, sown_on=date(2026, 4, 27))
    first = a_stay(planting, a_space("N-1", 120, "nursery channel"), is_over=True)
    other = a_space("N-2", 120, "nursery channel")
    a_stay(planting, other, from_on=date(2026, 5, 2), came_from=first)
    assert room_of(other).occupants[0].to_on == date(2026, 5, 11)


def test_places_change_with_the_spells_of_a_space_and_end_with_them():
    space = a_space("7", 18)
    SpaceSpell.objects.filter(space=space).update(to_on=date(2026, 6, 1))
    SpaceSpell.objects.create(space=space, places=20, from_on=date(2026, 6, 8), to_on=date(2026, 7, 1))
    room = room_of(space)
    days = [date(2026, 5, 31), date(2026, 6, 1), date(2026, 6, 8), date(2026, 7, 1)]
    assert [room.places(day) for day in days] == [18, 0, 20, 0]
    assert (room.narrowest(TODAY, date(2026, 6, 9)).day, room.narrowest(TODAY, date(2026, 6, 1)).free) == (days[1], 18)


@pytest.mark.parametrize("spaces", [1, 3, 60])
def test_many_spaces_ask_as_often_as_one(django_assert_num_queries, spaces):
    variety = a_variety()
    a_schedule(variety, ("finishing channel", 28, 1))
    for number in range(spaces):
        a_stay(a_planting(f"P-{number}", 12, variety=variety), a_space(f"F-{number}"))
    every = list(Space.objects.select_related("kind"))
    with django_assert_num_queries(6):
        found = rooms_of(every, TODAY)
    assert [room.free(TODAY) for room in found.values()] == [6] * spaces


def test_all_is_known_of_plantings_that_stand_in_these_spaces_and_nothing_of_others():
    """Also what they have left, what is planned, and what stands elsewhere."""
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    planting, other = a_planting("P-1", variety=variety), a_planting("P-2", variety=variety)
    first = a_stay(planting, a_space("N-1", 240, "nursery channel"), is_over=True)
    space = a_space("F-1", 120)
    here = a_stay(planting, space, 100, from_on=TODAY, came_from=first)
    away = a_stay(planting, a_space("F-2", 120), 20, from_on=TODAY, came_from=first)
    for arrived in (here, away):
        out = {"how": "moved", "plants": arrived.plants, "left_on": TODAY, "to_stay": arrived, "entry": planting.entry}
        Leaving.objects.create(planting=planting, stay=first, **out)
    plan = a_stay(planting, a_space("F-3", 120), 20, from_on=date(2026, 5, 18), state="planned")
    a_stay(other, a_space("F-4", 120))
    ground = ground_of([space], TODAY)
    assert set(ground.stays) == {here.pk, away.pk, plan.pk}
    assert list(ground.balances) == [planting.pk]
    assert (ground.balances[planting.pk].in_stays, ground.balances[planting.pk].not_placed) == (120, 0)
    assert ground.plans_of(planting.pk) == [plan]
    assert [one.stay.pk for one in ground.rooms[space.pk].occupants] == [here.pk]
