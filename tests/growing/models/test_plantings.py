"""Rules of plantings, stays, leavings and walks hold also past the forms."""

from datetime import date

import pytest
from django.db import IntegrityError

from farmops.growing.models import Leaving, Planting, Space, SpaceKind, Stay, Variety, Walk
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db
DAY = date(2026, 5, 4)


@pytest.fixture
def stay():
    entry = an_entry()
    variety = Variety.objects.create(name="green butterhead", crop="lettuce")
    planting = Planting.objects.create(code="P-1", variety=variety, state="done", sown_on=DAY, plants=120, entry=entry)
    space = Space.objects.create(name="N-1", kind=SpaceKind.objects.create(name="nursery channel"))
    return Stay.objects.create(planting=planting, space=space, plants=120, from_on=DAY, entry=entry)


@pytest.mark.parametrize("wrong", [{"code": "p-1"}, {"plants": 0}, {"cleared_on": date(2026, 5, 3)}])
def test_a_planting_that_breaks_a_rule_is_not_stored(stay, wrong):
    first = stay.planting
    facts = {"code": "P-2", "variety": first.variety, "state": "done", "sown_on": DAY, "plants": 72, **wrong}
    with pytest.raises(IntegrityError):
        Planting.objects.bulk_create([Planting(entry=first.entry, **facts)])


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [({"plants": 0}, "stay_has_plants"), ({"id": 900, "came_from_id": 900}, "stay_comes_from_another")],
)
def test_a_stay_that_breaks_a_rule_is_not_stored(stay, wrong, rule):
    facts = {"planting": stay.planting, "space": stay.space, "plants": 5, "from_on": DAY, "entry": stay.entry, **wrong}
    with pytest.raises(IntegrityError, match=rule):
        Stay.objects.bulk_create([Stay(**facts)])


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        ({"plants": 0}, "leaving_has_plants"),
        ({"how": "cleared", "stay": None}, "leaving_names_its_stay"),
        ({"how": "moved"}, "leaving_moved_arrives"),
        ({"how": "lost", "arrives": True}, "leaving_moved_arrives"),
    ],
)
def test_a_leaving_that_breaks_a_rule_is_not_stored(stay, wrong, rule):
    facts = {"planting": stay.planting, "stay": stay, "how": "lost", "plants": 5, "left_on": DAY, **wrong}
    if facts.pop("arrives", False):
        facts["to_stay"] = stay
    with pytest.raises(IntegrityError, match=rule):
        Leaving.objects.bulk_create([Leaving(entry=stay.entry, **facts)])


def test_a_loss_may_be_noted_without_saying_where(stay):
    Leaving.objects.bulk_create([Leaving(planting=stay.planting, how="lost", plants=5, left_on=DAY, entry=stay.entry)])
    assert Leaving.objects.get().stay is None


def test_a_walk_says_something(stay):
    with pytest.raises(IntegrityError, match="walk_says_something"):
        Walk.objects.bulk_create([Walk(planting=stay.planting, seen_on=DAY, entry=stay.entry)])


def test_rows_of_a_corrected_entry_count_no_more(stay):
    an_entry("another form", corrects=stay.entry)
    assert (Stay.objects.count(), Stay.objects.live().count()) == (1, 0)


def test_what_stands_is_sown_and_not_cleared(stay):
    planting = stay.planting
    others = [("P-2", "planned", None), ("P-3", "done", DAY), ("P-4", "not sown", None)]
    for code, state, cleared in others:
        facts = {"variety": planting.variety, "sown_on": DAY, "plants": 72, "entry": planting.entry}
        Planting.objects.create(code=code, state=state, cleared_on=cleared, **facts)
    assert [one.code for one in Planting.objects.standing()] == ["P-1"]
    assert [one.code for one in Planting.objects.planned()] == ["P-2"]
