"""The picture of a planting's life."""

from datetime import date

import pytest

from farmops.planning.planting_page import planting_page
from farmops.planning.views.life import life_of
from tests.journal.entries import an_entry
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, moved
from tests.planning.test_planting_page import a_pick

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    return a_planting(a_variety())


def test_its_life_has_a_row_for_stays_that_overlap_and_ends_when_it_is_cleared(planting):
    shelf = planting.stays.get()
    moved(shelf, "N-1", 36, date(2026, 3, 30))
    moved(shelf, "N-2", 36, date(2026, 4, 1))
    a_pick(planting, date(2026, 5, 1), 12)
    life = life_of(planting_page(planting, TODAY))
    assert [(spell.row, spell.first, spell.end, spell.words) for spell in life.spells] == [
        (0, date(2026, 3, 9), date(2026, 4, 1), "S-1 · 72"),
        (1, date(2026, 3, 30), TODAY, "N-1 · 36"),
        (0, date(2026, 4, 1), TODAY, "N-2 · 36"),
    ]
    assert (life.picks, life.today) == ((date(2026, 5, 1),), TODAY)
    type(planting).objects.filter(pk=planting.pk).update(cleared_on=date(2026, 5, 2))
    planting.refresh_from_db()
    an_entry("cleared", job="clear")
    page = planting_page(planting, TODAY)
    assert (life_of(page).today, page.ready, page.coming, page.is_standing, page.age_days) == (
        None,
        None,
        (),
        False,
        54,
    )


def test_stays_of_the_very_same_days_are_one_spell(planting):
    for name, plants in (("N-1", 30), ("N-2", 22), ("N-10", 20)):
        moved(planting.stays.first(), name, plants, date(2026, 3, 30))
    life = life_of(planting_page(planting, TODAY))
    assert [(spell.row, spell.words) for spell in life.spells] == [(0, "S-1 · 72"), (0, "N-1 +2 · 72")]
