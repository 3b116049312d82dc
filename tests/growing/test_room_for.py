"""Spaces with room, in walking order, and plants spread over as few as may be."""

from datetime import date

import pytest

from farmops.growing.models import Space, SpaceKind
from farmops.growing.move_plants import growth_of
from farmops.growing.places import Narrowest
from farmops.growing.room_for import Into, RoomFor, room_for, spread
from tests.growing.beds import TODAY, a_kind, a_planting, a_schedule, a_space, a_stay, a_variety

KIND = SpaceKind(name="finishing channel")


def rooms(*free):
    spaces = [Space(pk=number, name=f"F-{number}", kind=KIND) for number in range(1, len(free) + 1)]
    return [RoomFor(space, fits, Narrowest(TODAY, fits, 0)) for space, fits in zip(spaces, free, strict=True)]


@pytest.mark.parametrize(
    ("plants", "free", "first", "chosen"),
    [
        pytest.param(18, (18, 18), (), [(1, 18)], id="the first of equals"),
        pytest.param(10, (18, 12), (), [(2, 10)], id="the smallest that holds all"),
        pytest.param(40, (3, 18, 18, 5), (), [(2, 18), (3, 18), (4, 4)], id="as few as may be"),
        pytest.param(40, (18, 6), (), [(1, 18), (2, 6)], id="the rest waits"),
        pytest.param(18, (18, 18, 18), (3,), [(3, 18)], id="where it is planned"),
        pytest.param(30, (18, 18, 18), (3,), [(1, 12), (3, 18)], id="planned first, then others"),
        pytest.param(5, (0, 0), (), [], id="no room"),
    ],
)
def test_plants_are_spread_over_few_spaces(plants, free, first, chosen):
    found = rooms(*free)
    into = [Into(found[number - 1].space, some) for number, some in chosen]
    assert list(spread(plants, found, first)) == into


@pytest.mark.django_db
def test_room_is_counted_for_every_day_they_would_stand_in_walking_order():
    """F-10 after F-2; F-2 is free now and taken from the 18th, which is within the 28 days."""
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    planting = a_planting(variety=variety)
    stay = a_stay(planting, a_space("N-1", 240, "nursery channel"))
    for name in ("F-10", "F-2", "F-1"):
        a_space(name)
    a_stay(a_planting("P-2", 10), Space.objects.get(name="F-2"), from_on=date(2026, 5, 18), state="planned")
    a_stay(a_planting("P-3", 18), Space.objects.get(name="F-1"), from_on=date(2026, 6, 1), state="planned")
    kind = a_kind("finishing channel")
    coming = growth_of(planting).coming(stay, kind, TODAY)
    found = room_for(kind, coming, TODAY)
    assert [(one.space.name, one.fits, one.tight.day) for one in found] == [
        ("F-1", 18, TODAY),
        ("F-2", 8, date(2026, 5, 18)),
        ("F-10", 18, TODAY),
    ]


@pytest.mark.django_db
def test_a_space_out_of_use_is_not_offered():
    kind = a_kind("finishing channel")
    Space.objects.create(name="F-1", kind=kind)
    a_space("F-2")
    planting = a_planting()
    stay = a_stay(planting, a_space("N-1", 240, "nursery channel"))
    coming = growth_of(planting).coming(stay, kind, TODAY)
    assert [one.space.name for one in room_for(kind, coming, TODAY)] == ["F-2"]


@pytest.mark.django_db
def test_an_own_plan_does_not_take_the_room_away():
    channel = a_space("F-1")
    planting = a_planting(plants=18)
    stay = a_stay(planting, a_space("N-1", 240, "nursery channel"))
    plan = a_stay(planting, channel, 18, from_on=TODAY, state="planned")
    coming = growth_of(planting).coming(stay, channel.kind, TODAY)
    assert [one.fits for one in room_for(channel.kind, coming, TODAY)] == [0]
    assert [one.fits for one in room_for(channel.kind, coming, TODAY, without={plan.pk})] == [18]
