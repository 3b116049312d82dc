"""Seed lots set on a page."""

from datetime import date

import pytest

from farmops.growing.models import SeedLot
from farmops.growing.seed_lot_forms import typed_of
from farmops.growing.set_seed_lot import add_seed_lot, change_seed_lot
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import a_planting, a_variety, saying
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
TYPED = {"supplier": "Hill Seeds", "their_lot": "77-B", "seeds": "5000", "germination": "92"}


def add(key="add", name="S26-07", **other):
    facts = {**TYPED, "received_on": date(2026, 2, 1), **other}
    return add_seed_lot(saying=saying(key), name=name, variety=a_variety(), **facts).entry


def test_a_lot_is_added_and_taken_back():
    added = add()
    lot = SeedLot.objects.get()
    assert (added.said, lot.seeds, lot.germination_percent) == ("Seed lot S26-07 of green butterhead", 5000, 92)
    assert typed_of(lot) == {
        **TYPED, "seeds": 5000, "received_on": date(2026, 2, 1), "tested_on": None
    }  # fmt: skip
    undo(saying("back", corrects=added))
    assert SeedLot.objects.count() == 0


def test_a_lot_that_was_sown_stays():
    added = add()
    a_planting(seed_lot=SeedLot.objects.get(), entry=an_entry("sown", said="120 sown"))
    with pytest.raises(Refused, match=r"^It stays, because something was noted of it since: 120 sown\.$"):
        undo(saying("back", corrects=added))


def test_counted_anew_is_noted_and_taken_back_and_nothing_is_not_known():
    add()
    lot = SeedLot.objects.get()
    changed = change_seed_lot(saying=saying("count"), seed_lot=lot, **{**TYPED, "seeds": "0", "germination": ""}).entry
    assert dict(changed.changes.values_list("column", "new")) == {
        "seeds": 0, "germination_percent": None, "received_on": None
    }  # fmt: skip
    undo(saying("back", corrects=changed))
    assert SeedLot.objects.get().seeds == 5000


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "s26-07"}, "name"),
        ({"seeds": "1.5"}, "seeds"),
        ({"germination": "101"}, "germination"),
    ],
)
def test_what_cannot_be_adds_nothing(wrong, field):
    add()
    with pytest.raises(Refused) as refused:
        add("wrong", **{"name": "S26-08", **wrong})
    assert (refused.value.field, SeedLot.objects.count()) == (field, 1)
