"""What is known of one planting."""

from datetime import UTC, date, datetime

import pytest

from farmops.growing.models import Planting, Variety
from farmops.harvest.models import Pick
from farmops.planning.planting_page import planting_page
from farmops.planning.plantings_list import plantings_list
from farmops.waiting.models import DoNotCut
from tests.journal.entries import an_entry
from tests.planning.small_farm import TODAY, a_place, a_planting, a_stay, a_variety, left, moved, walked

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    return a_planting(a_variety())


def a_pick(planting, day, heads):
    entry = an_entry(f"pick {day} {heads}", job="pick")
    facts = {"typed": f"{heads} head", "typed_unit": "head", "count_unit": "head", "picked_on": day}
    return Pick.objects.create(planting=planting, count=heads, entry=entry, **facts)


def test_where_its_plants_are_and_where_they_went(planting):
    shelf = planting.stays.get()
    moved(shelf, "N-1", 36, date(2026, 3, 30))
    left(shelf, 4, date(2026, 4, 2), "lost")
    page = planting_page(planting, TODAY)
    rows = [
        (row.stay.space.name, row.plants, row.is_here, row.gone_on, row.move and row.move.due_on) for row in page.stays
    ]
    assert rows == [("S-1", 32, True, None, date(2026, 3, 30)), ("N-1", 36, True, None, None)]
    assert (page.age_days, page.balance.in_stays, page.out) == (56, 68, [("lost", 4)])


def test_a_stay_that_is_over_tells_when(planting):
    moved(planting.stays.get(), "N-1", 72, date(2026, 3, 30))
    assert [(row.is_here, row.gone_on) for row in planting_page(planting, TODAY).stays] == [
        (False, date(2026, 3, 30)),
        (True, None),
    ]


def test_ready_says_its_steps_and_goes_by_the_plants_that_are_furthest_on(planting):
    moved(planting.stays.get(), "N-1", 36, date(2026, 4, 6))
    ready = planting_page(planting, TODAY).ready
    # By hand: 35 days in the channel from 6 April are over on 11 May. The range: a schedule's error of 15 % and a
    # planting's 10 % make .18; e^(1.2816 x .1803) x 35 = 44.1 days and e^-(...) x 35 = 27.8: ready in the course
    # of day 44 at the latest, on the day after day 28 at the earliest: half of all parts of a day are cut off.
    assert (ready.span.low, ready.span.usual, ready.span.high) == (
        date(2026, 5, 5),
        date(2026, 5, 11),
        date(2026, 5, 20),
    )
    assert ready.steps == ["channel: 35 days from Mon 6 Apr 2026"]


def test_days_late_seen_on_a_walk_move_the_range(planting):
    moved(planting.stays.get(), "N-1", 72, date(2026, 4, 6))
    walked(planting, date(2026, 5, 3), days_late=4)
    ready = planting_page(planting, TODAY).ready
    assert (ready.span.usual, ready.steps[-1]) == (date(2026, 5, 15), "seen on a walk: 4 days late")


def test_what_is_coming_says_what_it_goes_by(planting):
    moved(planting.stays.get(), "N-1", 72, date(2026, 3, 30))
    walked(planting, date(2026, 5, 3), ready=30)
    (row,) = planting_page(planting, TODAY).coming
    assert (row.first, row.amount, row.planned, row.basis) == (TODAY, "30 heads", "68 heads", "seen on a walk")


def test_the_list_is_in_walking_order_and_says_what_must_wait(planting):
    moved(planting.stays.get(), "N-10", 72, date(2026, 3, 30))
    other = a_planting(planting.variety, "P26-002")
    moved(other.stays.get(), "N-2", 72, date(2026, 4, 20))
    DoNotCut.objects.create(
        planting=other, before=datetime(2026, 6, 1, tzinfo=UTC), reason="hail", entry=an_entry("a wait")
    )
    rows = plantings_list(TODAY)
    assert [(row.code, row.where, row.plants, row.age_days, row.ready_on) for row in rows] == [
        ("P26-002", "N-2", 72, 56, date(2026, 5, 25)),
        ("P26-001", "N-10", 72, 56, TODAY),
    ]
    assert [bool(row.waits) for row in rows] == [True, False]
    assert [row.code for row in plantings_list(TODAY, "p26-001")] == ["P26-001"]
    assert plantings_list(TODAY, "no such") == []


def test_what_has_no_schedule_stands_on_the_list_too_and_says_that_it_waits(planting):
    sorrel = Variety.objects.create(name="sorrel", crop="sorrel")
    other = Planting.objects.create(
        code="P26-009", variety=sorrel, state="done", sown_on=TODAY, plants=5, entry=an_entry("sow sorrel")
    )
    a_stay(other, "N-2", 5, TODAY)
    DoNotCut.objects.create(planting=other, reason="hail", entry=an_entry("a wait"))
    row = plantings_list(TODAY, "sorrel")[0]
    assert (row.code, row.where, row.plants, row.ready_on) == ("P26-009", "N-2", 5, None)
    assert row.waits == ("Do not cut P26-009 sorrel in N-2 until it is lifted: hail",)
