"""What stands today."""

from datetime import date, timedelta

import pytest

from farmops.planning.standing_now import forget, moves_due, standing_now
from farmops.waiting.models import DoNotCut
from tests.journal.entries import an_entry
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, left, moved, walked

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    return a_planting(a_variety())


def due(standing, until=TODAY):
    return [
        (one.planting.key, one.here.stay.space.name, one.here.plants, one.due_on) for one in moves_due(standing, until)
    ]


def test_plants_whose_stage_is_over_are_due_to_move_and_the_lost_are_not_counted(planting):
    left(planting.stays.get(), 4, date(2026, 3, 20), "lost")
    # Sown on 9 March, 21 days on the shelf whatever the light.
    assert due(standing_now(TODAY)) == [("P26-001", "S-1", 68, date(2026, 3, 30))]
    assert due(standing_now(TODAY), date(2026, 3, 29)) == []


def test_what_was_moved_in_part_leaves_the_rest_due(planting):
    moved(planting.stays.get(), "N-1", 36, date(2026, 3, 30))
    assert due(standing_now(TODAY)) == [("P26-001", "S-1", 36, date(2026, 3, 30))]


def test_days_late_seen_on_a_walk_put_the_move_off(planting):
    walked(planting, date(2026, 3, 29), days_late=5)
    assert due(standing_now(TODAY)) == [("P26-001", "S-1", 72, date(2026, 4, 4))]


def test_a_new_entry_is_seen_at_once_and_without_one_nothing_is_asked_twice(planting, django_assert_num_queries):
    assert due(standing_now(TODAY)) != []
    with django_assert_num_queries(1):
        standing_now(TODAY)
    moved(planting.stays.get(), "N-1", 72, date(2026, 5, 4))
    assert due(standing_now(TODAY)) == []


def test_what_is_planned_and_what_must_wait(planting):
    for code, days in (("P26-003", 9), ("P26-002", 2)):
        other = a_planting(planting.variety, code, sown=TODAY + timedelta(days=days))
        type(other).objects.filter(pk=other.pk).update(state="planned")
    DoNotCut.objects.create(planting=planting, reason="hail", entry=an_entry("a wait", job="wait"))
    standing = standing_now(TODAY)
    assert [row.planting for row in standing.planned()] == ["P26-002", "P26-003"]
    assert {code: [(one.spaces, one.until) for one in found] for code, found in standing.blocked(TODAY).items()} == {
        "P26-001": [(("S-1",), None)]
    }


@pytest.mark.parametrize("more", [0, 30])
def test_as_many_queries_for_many_as_for_few(planting, django_assert_num_queries, more):
    for number in range(more):
        other = a_planting(planting.variety, f"P26-1{number}")
        moved(other.stays.get(), "N-1", 1, date(2026, 4, 1))
    standing_now(TODAY)
    an_entry("something new")
    with django_assert_num_queries(11):
        standing_now(TODAY)
    forget()  # as on the first opening of a day, when the farm's pace is learned besides
    with django_assert_num_queries(11):
        standing_now(TODAY)
