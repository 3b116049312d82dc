"""Clearing a planting, or what stands in one space."""

from datetime import date

import pytest

from farmops.growing.balance import balance_of
from farmops.growing.clear import clear_planting
from farmops.growing.ground import rooms_of
from farmops.growing.lose_plants import lose_plants
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_planting, a_space, a_stay, saying

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    planting = a_planting()
    a_stay(planting, a_space("F-1", 72), 70)
    a_stay(planting, a_space("F-2", 72), 50)
    return planting


def test_all_that_is_left_is_taken_out_and_its_places_are_free_from_that_day(planting):
    stay = planting.stays.get(space__name="F-1")
    lose_plants(saying=saying("lost"), stay=stay, plants=4)
    done = clear_planting(saying=saying("clear"), planting=planting)
    assert done.entry.said == "Cleared P-1 green butterhead, Mon 4 May 2026: 116 plants taken out"
    planting.refresh_from_db()
    balance = balance_of(planting)
    assert (planting.cleared_on, dict(balance.out), balance.left) == (TODAY, {"lost": 4, "cleared": 116}, 0)
    assert rooms_of([stay.space], TODAY)[stay.space_id].free(TODAY) == 72


def test_what_left_before_a_clearing_is_taken_back_after_it(planting):
    first, second = planting.stays.order_by("pk")
    lost = lose_plants(saying=saying("lost"), stay=first, plants=4).entry
    part = clear_planting(saying=saying("part"), planting=planting, stay=second).entry
    clearing = clear_planting(saying=saying("clear"), planting=planting).entry
    for key, one in (("lost", lost), ("part", part)):
        with pytest.raises(Refused) as refused:
            undo(saying(f"undo {key}", corrects=one))
        assert str(refused.value) == f"“{clearing.said}” came after it. Take that back first."
    for key, one in (("clear", clearing), ("part", part), ("lost", lost)):
        undo(saying(f"undo {key} in turn", corrects=one))
    planting.refresh_from_db()
    assert (planting.cleared_on, balance_of(planting).in_stays) == (None, 120)
    assert set(planting.stays.values_list("is_over", flat=True)) == {False}


def test_one_space_is_cleared_and_the_planting_stands_until_the_last(planting):
    first, second = planting.stays.order_by("pk")
    done = clear_planting(saying=saying("one"), planting=planting, stay=first)
    assert done.entry.said == "Cleared P-1 green butterhead, Mon 4 May 2026: 70 plants taken out of F-1"
    planting.refresh_from_db()
    assert planting.cleared_on is None
    clear_planting(saying=saying("two"), planting=planting, stay=second)
    planting.refresh_from_db()
    assert planting.cleared_on == TODAY


def test_its_plans_go_with_it_and_an_undo_brings_everything_back(planting):
    plan = a_stay(planting, a_space("F-3", 72), 20, from_on=date(2026, 5, 18), state="planned")
    cleared = clear_planting(saying=saying("clear"), planting=planting).entry
    plan.refresh_from_db()
    assert plan.is_over is True
    undo(saying("undo", corrects=cleared))
    plan.refresh_from_db()
    planting.refresh_from_db()
    assert (plan.is_over, planting.cleared_on, balance_of(planting).in_stays) == (False, None, 120)


def test_what_is_cleared_or_empty_cannot_be_cleared_again(planting):
    first = planting.stays.order_by("pk")[0]
    clear_planting(saying=saying("one"), planting=planting, stay=first)
    with pytest.raises(Refused, match=r"^No plants are left in F-1: somebody took them since\.$"):
        clear_planting(saying=saying("two"), planting=planting, stay=first)
    clear_planting(saying=saying("three"), planting=planting)
    with pytest.raises(Refused, match=r"^P-1 was cleared on Mon 4 May 2026\."):
        clear_planting(saying=saying("four"), planting=planting)


def test_nothing_is_cleared_before_it_came_in(planting):
    a_stay(planting, a_space("F-3", 72), 20, from_on=date(2026, 5, 3))
    with pytest.raises(Refused) as refused:
        clear_planting(saying=saying("one", day=date(2026, 5, 2)), planting=planting)
    assert str(refused.value) == (
        "They came into F-3 only on Sun 3 May 2026, so not yet on Sat 2 May 2026. Put the day right."
    )


def test_a_planting_of_which_nobody_said_where_it_stands_can_be_cleared():
    planting = a_planting()
    done = clear_planting(saying=saying("one"), planting=planting)
    assert done.entry.said == "Cleared P-1 green butterhead, Mon 4 May 2026"
    planting.refresh_from_db()
    assert planting.cleared_on == TODAY
