"""Lines of the first screen: moves of one planting in one, and where each leads back to."""

from datetime import date, timedelta

import pytest

from farmops.farm.models import ClosedDays, Farm
from farmops.growing.models import Planting
from farmops.planning.due_lines import due_lines, next_harvest
from farmops.planning.due_now import due_now
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, moved
from tests.planning.test_due_now import a_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    return a_planting(a_variety())


def on_the_shelf(stay, name, plants):
    """So many of them stand in another space, in the stage of the shelf, and are late."""
    there = moved(stay, name, plants, date(2026, 4, 1))
    type(there).objects.filter(pk=there.pk).update(stage_number=1)
    return there


def test_several_places_of_one_planting_are_one_line(planting):
    shelf = planting.stays.get()
    on_the_shelf(shelf, "N-1", 20)
    on_the_shelf(shelf, "N-10", 12)
    a_planting(planting.variety, "P26-002", sown=date(2026, 3, 1), plants=10)
    groups = due_lines(due_now(TODAY)).moves
    assert [(one.planting.key, one.where, one.plants, len(one.lines)) for one in groups] == [
        ("P26-002", "S-1", 10, 1),
        ("P26-001", "S-1, N-1 +1", 72, 3),
    ]
    assert groups[1].due_on == min(line.due.due_on for line in groups[1].lines)


def test_what_is_done_leads_back_to_the_line_below_it_and_the_last_to_the_one_above(planting):
    shelf = planting.stays.get()
    there = on_the_shelf(shelf, "N-1", 20)
    a_planting(planting.variety, "P26/0 5", sown=TODAY)
    Planting.objects.filter(code="P26/0 5").update(state="planned")
    lines = due_lines(due_now(TODAY))
    order = [*(line for group in lines.moves for line in group.lines), *lines.sowings, *lines.walks]
    assert [(line.anchor, line.back) for line in order] == [
        (f"move-{shelf.pk}", f"move-{there.pk}"),
        (f"move-{there.pk}", "sow-P26_2F0_205"),
        ("sow-P26_2F0_205", f"move-{there.pk}"),
    ]
    a_day(TODAY)
    assert due_lines(due_now(TODAY)).sowings[0].back == "due-markets"


def test_the_only_line_leads_back_to_the_top(planting):
    assert [line.back for group in due_lines(due_now(TODAY)).moves for line in group.lines] == ["due-now"]


def test_the_next_harvest_day_is_a_weekday_of_the_farm_that_is_not_closed(planting):
    Farm.objects.update(harvest_days="")
    assert next_harvest(TODAY) == TODAY  # no days were said: any day
    Farm.objects.update(harvest_days="tue;fri")
    assert next_harvest(TODAY) == TODAY + timedelta(days=1)
    ClosedDays.objects.create(first_on=TODAY, last_on=TODAY + timedelta(days=3))
    assert next_harvest(TODAY) == date(2026, 5, 8)
    ClosedDays.objects.create(first_on=TODAY, last_on=TODAY + timedelta(days=30))
    assert next_harvest(TODAY) is None


def test_where_nothing_is_due_there_are_no_lines(db):
    a_place()
    lines = due_lines(due_now(TODAY))
    assert (lines.moves, lines.sowings, lines.walks) == ([], [], [])
