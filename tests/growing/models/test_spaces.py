"""Rules of the spaces' tables hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.growing.models import Space, SpaceKind, SpaceSpell

pytestmark = pytest.mark.django_db
MAY, JUNE = date(2026, 5, 1), date(2026, 6, 1)


@pytest.fixture
def space():
    return Space.objects.create(name="N-1", kind=SpaceKind.objects.create(name="nursery channel"))


def test_a_space_has_a_name_of_its_own_in_any_case(space):
    with pytest.raises(IntegrityError):
        Space.objects.bulk_create([Space(name="n-1", kind=space.kind)])


@pytest.mark.parametrize(
    "spells",
    [
        [{"from_on": MAY}, {"from_on": MAY}],
        [{"from_on": None}, {"from_on": None}],
        [{"from_on": JUNE, "to_on": JUNE}],
        [{"from_on": JUNE, "to_on": MAY}],
    ],
    ids=["same day", "both from the beginning", "no day at all", "out before in"],
)
def test_spells_that_break_a_rule_are_not_stored(space, spells):
    with pytest.raises(IntegrityError):
        SpaceSpell.objects.bulk_create([SpaceSpell(space=space, places=18, **spell) for spell in spells])


def test_a_space_may_change_its_places(space):
    SpaceSpell.objects.bulk_create(
        [
            SpaceSpell(space=space, places=18, to_on=MAY),
            SpaceSpell(space=space, places=12, from_on=MAY),
        ]
    )
    assert list(space.spells.order_by("pk").values_list("places", flat=True)) == [18, 12]


@pytest.mark.parametrize("light", [None, 0])
def test_lamps_that_burn_give_light(space, light):
    with pytest.raises(IntegrityError):
        SpaceKind.objects.bulk_create([SpaceKind(name="shelf", lamp_hours_by_date="11-01=6", lamp_light=light)])


def test_lamps_may_be_noted_before_they_burn(space):
    SpaceKind.objects.bulk_create(
        [SpaceKind(name="shelf", lamp_light=80), SpaceKind(name="bench", shade_by_date="05-01=40")]
    )
    assert SpaceKind.objects.count() == 3
