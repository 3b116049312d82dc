"""Rows without an entry of their own: brought in, taken out, and moved the other way when that is taken back."""

import pytest
from django.db import IntegrityError

from farmops.exchange.check_farm.check import check_farm
from farmops.farm.models import RowMoved
from farmops.farm.row_moves import bring_in, take_out
from farmops.growing.models import Space, SpaceKind, SpaceSpell
from farmops.journal.deed import change, do_once
from farmops.journal.models import Job
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_planting, a_stay, saying
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db


def done(key, write):
    def work(entry):
        write(entry)
        return key, {}

    return do_once(saying(key), Job.SET, work).entry


def a_shelf(key="add"):
    def write(entry):
        kind = SpaceKind(name="shelf")
        space = Space(name="S-1", kind=kind)
        bring_in(entry, kind)
        space.kind = kind
        bring_in(entry, space)
        bring_in(entry, SpaceSpell(space=space, places=8))

    return done(key, write)


def there():
    return [model.objects.count() for model in (SpaceKind, Space, SpaceSpell)]


def test_what_an_entry_brought_in_goes_when_it_is_taken_back_and_stays_to_be_seen():
    added = a_shelf()
    assert there() == [1, 1, 1]
    back = undo(saying("back", corrects=added)).entry
    assert there() == [0, 0, 0]
    kept = RowMoved.objects.filter(entry=back).order_by("pk")
    assert [(one.table, one.was.get("name"), one.was.get("places")) for one in kept] == [
        ("growing.spacespell", None, 8),
        ("growing.space", "S-1", None),
        ("growing.spacekind", "shelf", None),
    ]
    a_shelf("again")
    assert there() == [1, 1, 1]


def test_what_an_entry_took_out_is_back_as_it_was_when_it_is_taken_back():
    a_shelf()
    spell = SpaceSpell.objects.get()
    key = spell.pk
    taken = done("out", lambda entry: take_out(entry, spell))
    assert there() == [1, 1, 0]
    undo(saying("back", corrects=taken))
    assert SpaceSpell.objects.values_list("pk", "places", "from_on", "to_on").get() == (key, 8, None, None)


def test_nothing_goes_under_what_rests_on_it():
    added = a_shelf()
    a_stay(a_planting(entry=an_entry("sown", said="120 basil sown")), Space.objects.get())
    with pytest.raises(Refused, match=r"^It stays, because something was noted of it since: 120 basil sown\.$"):
        undo(saying("back", corrects=added))
    assert there() == [2, 1, 1]  # the planting's own kind besides


def test_what_was_altered_since_is_taken_back_first():
    added = a_shelf()
    done("more places", lambda entry: change(entry, SpaceSpell.objects.get(), places=9))
    with pytest.raises(Refused, match=r"^“more places” came after it\. Take that back first\.$"):
        undo(saying("back", corrects=added))
    assert there() == [1, 1, 1]


def test_a_row_moved_out_with_its_changes_is_no_fault_of_the_records():
    added = a_shelf()
    more = done("more", lambda entry: change(entry, SpaceSpell.objects.get(), places=9))
    undo(saying("less", corrects=more))
    undo(saying("back", corrects=added))
    assert [str(one) for one in check_farm(TODAY)] == []


def test_an_entry_moves_a_row_once():
    entry = an_entry()
    with pytest.raises(IntegrityError):
        RowMoved.objects.bulk_create([RowMoved(entry=entry, table="growing.space", row=1) for _times in range(2)])
