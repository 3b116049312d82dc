"""What stands is read once after each entry, and remembered."""

from datetime import date

import pytest

from farmops.growing import ground_now as ground_now_module
from farmops.growing.balance import balance_of
from farmops.growing.ground_now import balance_now, ground_now, remembered
from farmops.growing.lose_plants import lose_plants
from farmops.journal.models import Entry
from tests.growing.beds import TODAY, a_planting, a_space, a_stay, saying
from tests.journal.entries import an_entry

pytestmark = pytest.mark.django_db


@pytest.fixture
def stay(db):
    return a_stay(a_planting(), a_space("F-1", 120))


def test_it_is_read_again_after_an_entry_and_only_then(stay, django_assert_num_queries):
    assert ground_now(TODAY).rooms[stay.space_id].free(TODAY) == 0
    with django_assert_num_queries(1):
        assert ground_now(TODAY).rooms[stay.space_id].free(TODAY) == 0
    lose_plants(saying=saying("one"), stay=stay, plants=5)
    assert ground_now(TODAY).rooms[stay.space_id].free(TODAY) == 5
    assert balance_now(stay.planting, TODAY) == balance_of(stay.planting)


def test_it_is_read_again_on_another_day():
    heard = []
    for day in (TODAY, TODAY, date(2026, 5, 5)):
        remembered("what", day, lambda day=day: heard.append(day))
    assert heard == [TODAY, date(2026, 5, 5)]


def test_no_more_than_some_is_kept():
    for number in range(ground_now_module.MOST + 5):
        remembered(f"what {number}", TODAY, lambda: 0)
    assert len(ground_now_module._known) == 5


def test_an_entry_stored_late_under_a_lower_number_is_noticed():
    """Two are written at once: the one that began first is stored last."""
    newest = an_entry("began last")
    assert remembered("what", TODAY, lambda: "without it") == "without it"
    late = an_entry("began first")
    Entry.objects.filter(pk=late.pk).delete()
    an_entry("began first", pk=newest.pk - 1)
    assert Entry.objects.order_by("-pk")[0] == newest
    assert remembered("what", TODAY, lambda: "with it") == "with it"


def test_a_planting_that_stands_nowhere_is_asked_for_itself():
    planting = a_planting()
    assert balance_now(planting, TODAY).not_placed == 120
