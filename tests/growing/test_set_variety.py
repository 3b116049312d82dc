"""Varieties set on a page."""

import pytest

from farmops.growing.models import Variety
from farmops.growing.set_variety import add_variety, change_variety, typed_of
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import saying

pytestmark = pytest.mark.django_db
TYPED = {
    "crop": "basil",
    "category": "herbs",
    "part": "half tray",
    "part_plants": "36",
    "part_cost": "$1.25",
    "sow_first": "2-15",
    "sow_last": "10-1",
}


def add(key="add", **other):
    return add_variety(saying=saying(key), **{"name": "sweet  basil", **TYPED, **other}).entry


def test_a_variety_is_added_and_taken_back():
    added = add()
    variety = Variety.objects.get()
    assert (variety.name, added.said) == ("sweet basil", "sweet basil is grown from now on")
    assert typed_of(variety) == {**TYPED, "part_cost": "1.25", "sow_first": "02-15", "sow_last": "10-01"}
    undo(saying("back", corrects=added))
    assert Variety.objects.count() == 0
    add("again")


def test_what_is_left_empty_is_what_sheets_take_it_for():
    add(**{**dict.fromkeys(TYPED, ""), "crop": "basil"})
    variety = Variety.objects.get()
    assert (variety.part, variety.part_plants, variety.part_cost_cents) == ("tray", 72, 0)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "SWEET BASIL"}, "name"),
        ({"crop": " "}, "crop"),
        ({"part_plants": "0"}, "part_plants"),
        ({"part_cost": "1.255 each"}, "part_cost"),
        ({"sow_first": "spring"}, "sow_first"),
    ],
)
def test_what_cannot_be_adds_nothing(typed, field):
    add()
    with pytest.raises(Refused) as refused:
        add("wrong", **typed)
    assert (refused.value.field, Variety.objects.count()) == (field, 1)


def test_a_change_is_noted_and_taken_back():
    add()
    variety = Variety.objects.get()
    changed = change_variety(saying=saying("change"), variety=variety, **{**TYPED, "part_plants": "40"}).entry
    assert changed.said == "sweet basil changed"
    assert list(changed.changes.values_list("column", "old", "new")) == [("part_plants", 36, 40)]
    undo(saying("back", corrects=changed))
    assert Variety.objects.get().part_plants == 36
