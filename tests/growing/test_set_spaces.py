"""Spaces set on a page: many at once, other places from a day on, out of use; each taken back."""

from datetime import date

import pytest

from farmops.growing.ground import rooms_of
from farmops.growing.models import Space, SpaceKind, SpaceSpell
from farmops.growing.set_spaces import add_spaces, close_space, names_typed, set_places
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_kind, a_planting, a_space, a_stay, saying

MAY_11, MAY_18 = date(2026, 5, 11), date(2026, 5, 18)


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("F-1", ["F-1"]),
        ("F-08 to F-11", ["F-08", "F-09", "F-10", "F-11"]),
        ("F-9 TO F-11", ["F-9", "F-10", "F-11"]),
        ("F-1 to 3, S-1 ; north  bed", ["F-1", "F-2", "F-3", "S-1", "north bed"]),
        ("1 – 3", ["1", "2", "3"]),
    ],
)
def test_names_are_counted_through_as_they_are_typed(typed, names):
    assert names_typed(typed) == names


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (" , ", "Write a name, e.g. F-01, or many: F-01 to F-20"),
        ("F-1 to N-3", "cannot be counted through"),
        ("F-3 to F-1", "cannot be counted through"),
        ("F to G", "cannot be counted through"),
        ("F-1 to F-2 to F-3", "cannot be counted through"),
        ("F-1, f-1", "f-1 stands there twice"),
        ("F-1 to F-201", "more than 200 at once"),
        ("n" * 41, "too long for a name"),
    ],
)
def test_what_are_no_names_is_refused(typed, words):
    with pytest.raises(Refused, match=words) as refused:
        names_typed(typed)
    assert refused.value.field == "names"


def places(name, *days):
    space = Space.objects.select_related("kind").get(name=name)
    room = rooms_of([space], TODAY)[space.pk]
    return [room.places(day) for day in days]


def add(key="add", **other):
    return add_spaces(saying=saying(key), **{"kind": "bed", "names": "B-1 to B-3", "places": "40", **other}).entry


@pytest.mark.django_db
def test_many_spaces_of_a_new_kind_are_one_entry_and_one_undo():
    a_kind("shelf", walk_order=4)
    added = add()
    assert added.said == "bed 3: B-1 to B-3 added, 40 places each"
    assert SpaceKind.objects.get(name="bed").walk_order == 5
    assert list(SpaceSpell.objects.values_list("space__name", "places", "from_on", "to_on")) == [
        ("B-1", 40, None, None),
        ("B-2", 40, None, None),
        ("B-3", 40, None, None),
    ]
    undo(saying("back", corrects=added))
    assert list(SpaceKind.objects.values_list("name", flat=True)) == ["shelf"]
    assert (Space.objects.count(), SpaceSpell.objects.count()) == (0, 0)


@pytest.mark.django_db
def test_a_kind_that_is_there_is_joined_whatever_its_capitals():
    add()
    more = add("more", kind="Bed", names="B-4", from_on=MAY_11)
    assert more.said == "bed B-4 added, 40 places each from Mon 11 May 2026 on"
    assert (SpaceKind.objects.count(), places("B-4", TODAY, MAY_11)) == (1, [0, 40])


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "field"), [({"kind": " "}, "kind"), ({"names": "b-2"}, "names"), ({"places": "0"}, "places")]
)
def test_what_cannot_be_adds_no_space(typed, field):
    add()
    with pytest.raises(Refused) as refused:
        add("wrong", **typed)
    assert (refused.value.field, Space.objects.count()) == (field, 3)


def set_to(space, typed, from_on=None, key="set", yes=()):
    return set_places(saying=saying(key), space=space, places=typed, from_on=from_on, yes=frozenset(yes)).entry


@pytest.mark.django_db
def test_other_places_hold_from_their_day_on_and_days_before_keep_theirs():
    space = a_space("F-1", 18)
    changed = set_to(space, "20", MAY_11)
    assert changed.said == "F-1: 20 places from Mon 11 May 2026 on"
    assert places("F-1", TODAY, MAY_11) == [18, 20]
    set_to(space, "22", MAY_11, "right")
    assert places("F-1", TODAY, MAY_11) == [18, 22]
    with pytest.raises(Refused, match=r"^What holds for F-1 from Mon 11 May 2026 on is set already"):
        set_to(space, "30", TODAY, "before")
    with pytest.raises(Refused, match=r"came after it\. Take that back first"):
        undo(saying("too early", corrects=changed))


@pytest.mark.django_db
def test_other_places_are_taken_back():
    space = a_space("F-1", 18)
    undo(saying("back", corrects=set_to(space, "20", MAY_11)))
    assert places("F-1", TODAY, MAY_11) == [18, 18]
    assert SpaceSpell.objects.values_list("places", "from_on", "to_on").get() == (18, None, None)


@pytest.mark.django_db
def test_too_few_places_for_what_stands_there_are_asked_about():
    space = a_space("F-1", 18)
    a_stay(a_planting(plants=12), space)
    with pytest.raises(NeedsYes, match=r"^F-1: 2 places too few from Mon 11 May.*Is it so all the same\?$"):
        set_to(space, "10", MAY_11)
    set_to(space, "10", MAY_11, "yes", yes={"too-few"})
    assert places("F-1", TODAY, MAY_11) == [18, 10]


def close(space, from_on=None, key="close", yes=()):
    return close_space(saying=saying(key), space=space, from_on=from_on, yes=frozenset(yes)).entry


@pytest.mark.django_db
def test_a_space_goes_out_of_use_and_comes_back():
    space = a_space("F-1", 18)
    closed = close(space, MAY_11)
    assert (closed.said, places("F-1", TODAY, MAY_11)) == ("F-1 out of use from Mon 11 May 2026 on", [18, 0])
    with pytest.raises(Refused, match=r"^F-1 is out of use from Mon 11 May 2026 on already\.$"):
        close(space, MAY_18, "twice")
    set_to(space, "16", MAY_18)
    assert places("F-1", TODAY, MAY_11, MAY_18) == [18, 0, 16]
    with pytest.raises(Refused, match=r"^Its places hold from that very day on"):
        close(space, MAY_18, "same day")


@pytest.mark.django_db
def test_places_until_a_closing_that_is_set_already_keep_it_and_it_is_taken_back():
    space = a_space("F-1", 18)
    closed = close(space, MAY_18)
    changed = set_to(space, "20", MAY_11)
    assert places("F-1", TODAY, MAY_11, MAY_18) == [18, 20, 0]
    undo(saying("places back", corrects=changed))
    undo(saying("back", corrects=closed))
    assert places("F-1", TODAY, MAY_18) == [18, 18]


@pytest.mark.django_db
def test_what_stands_there_is_asked_about_before_closing():
    space = a_space("F-1", 18)
    a_stay(a_planting(plants=12), space)
    with pytest.raises(NeedsYes) as asked:
        close(space)
    assert asked.value.question == "too-few"
    close(space, key="yes", yes={"too-few"})
    assert places("F-1", TODAY) == [0]
