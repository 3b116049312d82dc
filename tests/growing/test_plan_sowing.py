"""Planned sowings."""

from datetime import date

import pytest

from farmops.growing.models import Planting, Stay
from farmops.growing.plan_sowing import give_up_sowing, plan_sowing, sown_in_words
from farmops.growing.room_for import Into
from farmops.growing.sow import sow
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import a_planting, a_schedule, a_space, a_stay, a_variety, saying

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 5, 11)


@pytest.fixture
def basil():
    variety = a_variety("sweet basil", part="half tray", part_plants=36)
    a_schedule(variety, ("seedling shelf", 21, 72), ("finishing channel", 28, 1))
    return variety


def plan(basil, key="plan", **other):
    return plan_sowing(saying=saying(key), variety=basil, plants=108, sow_on=MONDAY, **other)


def test_a_planned_sowing_has_its_number_and_takes_its_places(basil):
    shelf = a_space("S-1", 8, "seedling shelf")
    done = plan(basil, into=[Into(shelf, 108)])
    assert done.entry.said == ("Planned P26-001: 3 × half tray sweet basil, 108 plants, to be sown Mon 11 May 2026")
    planting = Planting.objects.get()
    assert (planting.code, planting.state, planting.sown_on, planting.plants) == ("P26-001", "planned", MONDAY, 108)
    assert list(Stay.objects.values_list("space__name", "state", "stage_number")) == [("S-1", "planned", 1)]


def test_where_it_would_not_fit_the_clash_is_said(basil):
    shelf = a_space("S-1", 1, "seedling shelf")
    a_stay(a_planting("P-9", 36, variety=basil, sown_on=date(2026, 5, 4)), shelf)
    done = plan(basil, into=[Into(shelf, 108)])
    assert done.answer["clashes"] == [
        "S-1: 1 place too few from Mon 11 May to Sun 24 May: P26-001 sweet basil, P-9 sweet basil",
        "S-1: 0.5 places too few from Mon 25 May to Sun 31 May: P26-001 sweet basil",
    ]


def test_a_plan_is_given_up_with_its_stays_and_an_undo_brings_them_back(basil):
    plan(basil, into=[Into(a_space("S-1", 8, "seedling shelf"), 108)])
    planting = Planting.objects.get()
    given_up = give_up_sowing(saying=saying("no"), planting=planting).entry
    assert given_up.said == "Not sown: P26-001, 3 × half tray sweet basil, 108 plants"
    planting.refresh_from_db()
    assert (planting.state, Stay.objects.get().is_over) == ("not sown", True)
    with pytest.raises(Refused, match=r"^P26-001 was given up\. Take that back first, or sow anew\.$"):
        sow(saying=saying("late"), variety=basil, plants=108, planned=planting)
    undo(saying("undo", corrects=given_up))
    planting.refresh_from_db()
    assert (planting.state, Stay.objects.get().is_over) == ("planned", False)


def test_an_undone_plan_is_not_sown(basil):
    undo(saying("undo", corrects=plan(basil).entry))
    assert Planting.objects.get().state == "not sown"


def test_a_sown_planting_is_no_plan_to_give_up(basil):
    with pytest.raises(Refused, match=r"^P-9 was sown on Mon 13 Apr 2026 already\.$"):
        give_up_sowing(saying=saying("no"), planting=a_planting("P-9", variety=basil))


@pytest.mark.parametrize(
    ("plants", "words"),
    [
        (108, "3 × half tray sweet basil, 108 plants"),
        (36, "1 × half tray sweet basil, 36 plants"),
        (40, "sweet basil, 40 plants"),
        (1, "sweet basil, 1 plant"),
    ],
)
def test_trays_are_named_where_they_come_out_whole(basil, plants, words):
    assert sown_in_words(basil, plants) == words
