"""The farm begun and changed on a page."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.farm.models import Farm
from farmops.farm.set_farm import set_farm, typed_of
from farmops.journal.models import Change
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from tests.growing.beds import saying
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
FACTS = {
    "name": "Two Brooks",
    "latitude": "42.3 N",
    "time_zone": "America/New_York",
    "units": "lb",
    "currency": "usd",
    "paper": "letter",
    "harvest_days": ["fri", "tue"],
    "dark_first": "11-5",
    "dark_end": "2-5",
}


def begun(key="one", **other):
    yes = other.pop("yes", frozenset())
    return set_farm(saying=saying(key), yes=yes, **{**FACTS, **other}).entry


def test_a_farm_begins_with_what_was_typed():
    assert begun(season_first=date(2026, 5, 2)).said == "Two Brooks, 42.3 N: the farm begins here"
    farm = Farm.objects.get()
    assert (farm.latitude, farm.currency, farm.harvest_days) == (Decimal("42.3"), "USD", "tue;fri")
    assert (farm.dark_first, farm.dark_end, farm.dark_pace_percent) == ("11-05", "02-05", 50)
    assert set_farm(saying=saying("same"), **typed_of(farm)).entry.changes.count() == 0


def test_a_change_is_noted_with_old_and_new_and_an_undo_brings_back_what_was():
    begun()
    changed = begun("two", latitude="33.9 S")
    assert list(Change.objects.values_list("column", "old", "new")) == [("latitude", "42.30000", "-33.9")]
    undo(saying("back", corrects=changed))
    assert Farm.objects.get().latitude == Decimal("42.3")


def test_its_beginning_is_taken_back_while_nothing_was_noted_since():
    first = begun()
    later = an_entry("later", said="F-1 added")
    with pytest.raises(Refused, match=r"^“F-1 added” came after it\. Take that back first\.$"):
        undo(saying("back", corrects=first))
    undo(saying("later back", corrects=later))
    undo(saying("back now", corrects=first))
    assert Farm.objects.count() == 0


@pytest.mark.parametrize(
    ("typed", "question"), [({"time_zone": "America/Denver"}, "time-zone"), ({"currency": "CAD"}, "currency")]
)
def test_what_would_be_read_anew_is_asked_about(typed, question):
    begun()
    with pytest.raises(NeedsYes) as asked:
        begun("two", **typed)
    assert asked.value.question == question
    begun("three", yes=frozenset({question}), **typed)
    assert [getattr(Farm.objects.get(), name) for name in typed] == list(typed.values())


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"latitude": "Boston"}, "latitude"),
        ({"time_zone": "Boston"}, "time_zone"),
        ({"time_zone": "/etc/passwd"}, "time_zone"),
        ({"currency": "dollars"}, "currency"),
        ({"dark_end": ""}, "dark_end"),
        ({"dark_first": ""}, "dark_first"),
        ({"dark_pace": "0"}, "dark_pace"),
        ({"season_first": date(2026, 5, 2), "season_last": date(2026, 5, 1)}, "season_last"),
    ],
)
def test_what_cannot_be_begins_no_farm(typed, field):
    with pytest.raises(Refused) as refused:
        begun(**typed)
    assert (refused.value.field, Farm.objects.count()) == (field, 0)
