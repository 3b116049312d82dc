"""What a pick knows of its planting: ready, waits, the usual amount. Today is Mon 4 May 2026."""

from datetime import UTC, date, datetime, timedelta

import pytest

from farmops.growing.models import Planting
from farmops.harvest.models import Pick
from farmops.planning.cut_from import Usual, cut_from, usual_of
from farmops.waiting.models import DoNotCut, Treatment
from tests.harvest.picks import NOW, TODAY, lb, pick
from tests.harvest.picks import a_planting as unfollowed
from tests.journal.entries import an_entry
from tests.planning.small_farm import a_place, a_planting, a_variety, moved, walked

pytestmark = pytest.mark.django_db


@pytest.fixture
def lettuce():
    """Sown 1 Apr, in N-1 since 22 Apr: ready after 35 days, on 27 May."""
    a_place()
    planting = a_planting(a_variety(), "L-13", sown=date(2026, 4, 1))
    moved(planting.stays.get(), "N-1", 72, date(2026, 4, 22))
    return planting


def known(planting, **other):
    return cut_from([(planting, 1)], **{"day": TODAY, "moment": NOW, **other})[0]


def test_it_is_ready_by_its_schedule_until_something_says_otherwise(lettuce):
    assert known(lettuce).ready_on == date(2026, 5, 27)
    walked(lettuce, date(2026, 5, 3), ready=20)
    assert known(lettuce).ready_on is None


def test_a_pick_proves_it_but_not_the_one_that_is_put_right(lettuce):
    done = pick("a", lettuce, count="3")
    assert known(lettuce).ready_on is None
    assert known(lettuce, corrects=done.entry).ready_on == date(2026, 5, 27)


def test_waits_are_those_of_the_list(lettuce):
    assert (known(lettuce).wait_until, known(lettuce).wait_reason) == (None, "")
    until = NOW + timedelta(days=2)
    DoNotCut.objects.create(planting=lettuce, before=until, reason="soap", entry=an_entry("wait"))
    assert (known(lettuce).wait_until, known(lettuce).wait_reason) == (until, "soap")
    # A dip on the shelf goes with the plants into the channel: sixteen days from the end of 21 April.
    shelf = lettuce.stays.order_by("pk").first().space
    dip = {"space": shelf, "ended_on": date(2026, 4, 21), "harvest_days": 16, "product": "dip"}
    Treatment.objects.create(**dip, entry=an_entry("dip"))
    assert (known(lettuce).wait_until, known(lettuce).wait_reason) == (datetime(2026, 5, 8, 4, tzinfo=UTC), "dip")
    Treatment.objects.create(**{**dip, "harvest_days": None, "product": "no label"}, entry=an_entry("no label"))
    assert (known(lettuce).wait_until, known(lettuce).wait_reason) == (None, "no label")


def test_a_wait_of_one_place_stops_only_what_is_cut_there(lettuce):
    """Half of them went on to N-2 before anything was said of N-1; nobody says where it is cut: it may be there."""
    here = lettuce.stays.get(space__name="N-1")
    there = moved(here, "N-2", 36, date(2026, 5, 2))
    until = NOW + timedelta(days=2)
    DoNotCut.objects.create(planting=lettuce, stay=here, before=until, reason="soap", entry=an_entry("wait"))
    found = [known(lettuce, stay=stay).wait_until for stay in (here, there, None)]
    assert found == [until, None, until]
    again = moved(there, "N-1", 10, date(2026, 5, 3))  # among those that wait
    assert known(lettuce, stay=again).wait_until == until


def test_a_wait_that_is_over_when_it_was_cut_is_over(lettuce):
    DoNotCut.objects.create(planting=lettuce, before=NOW, reason="soap", entry=an_entry("wait"))
    assert known(lettuce).wait_reason == ""
    assert known(lettuce, moment=NOW - timedelta(minutes=1)).wait_reason == "soap"


def test_a_wait_that_names_a_planting_holds_where_its_growth_cannot_be_followed():
    planting = unfollowed("L-9")
    DoNotCut.objects.create(planting=planting, before=NOW, reason="a", entry=an_entry("a"))
    until = NOW + timedelta(days=1)
    DoNotCut.objects.create(planting=planting, before=until, reason="b", entry=an_entry("b"))
    assert (known(planting).wait_until, known(planting).wait_reason) == (until, "b")
    DoNotCut.objects.create(planting=planting, reason="c", entry=an_entry("c"))
    assert (known(planting).wait_until, known(planting).wait_reason) == (None, "c")


def test_of_several_plantings_each_has_its_own(lettuce):
    other = a_planting(lettuce.variety, "L-9", sown=date(2026, 2, 1))
    found = cut_from([(lettuce, 2), (other, 1)], day=TODAY, moment=NOW, stay=lettuce.stays.last())
    assert [(part.planting, part.share, part.stay) for part in found] == [
        (lettuce, 2, lettuce.stays.last()),
        (other, 1, None),
    ]


def test_of_what_was_cut_before_little_is_asked(lettuce, django_assert_num_queries):
    pick("a", lettuce, count="3")
    with django_assert_num_queries(4):
        assert known(lettuce).ready_on is None


@pytest.mark.parametrize("plantings", [3, 100])
def test_it_asks_as_often_for_many_plantings_as_for_few(lettuce, django_assert_num_queries, plantings):
    for number in range(plantings):
        a_planting(lettuce.variety, f"P-{number}")
    lettuce = Planting.objects.get(pk=lettuce.pk)
    with django_assert_num_queries(16):
        known(lettuce)


def test_the_usual_is_what_it_gave_so_far_else_all_it_could_give(lettuce):
    assert usual_of(lettuce) == Usual(None, 72)
    pick("a", lettuce, count="20", weight="5")
    done = pick("b", lettuce, count="10", weight="3")
    assert usual_of(lettuce) == Usual(lb(4), 15)
    assert usual_of(lettuce, done.entry) == Usual(lb(5), 20)
    assert Pick.objects.count() == 2
