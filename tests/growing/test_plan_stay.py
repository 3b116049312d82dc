"""Planned stays: they may clash, which is said, and be given up."""

from datetime import date

import pytest

from farmops.growing.ground import rooms_of
from farmops.growing.models import Stay
from farmops.growing.plan_stay import clash_in_words, drop_plan, plan_stay
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from tests.growing.beds import TODAY, a_planting, a_schedule, a_space, a_stay, a_variety, saying

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 5, 11)


@pytest.fixture
def planting():
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    planting = a_planting(variety=variety)
    a_stay(planting, a_space("N-1", 240, "nursery channel"))
    return planting


def plan(planting, space, plants=18, from_on=MONDAY, key="plan", **other):
    return plan_stay(saying=saying(key), planting=planting, space=space, plants=plants, from_on=from_on, **other)


def test_a_plan_takes_places_from_its_day_to_the_usual_end_of_its_stage(planting):
    space = a_space("F-1")
    done = plan(planting, space)
    assert done.entry.said == "Planned: 18 of P-1 green butterhead into F-1 on Mon 11 May 2026"
    stay = Stay.objects.get(pk=done.answer["stay"])
    assert (stay.state, stay.stage_number, stay.came_from) == ("planned", 2, None)
    room = rooms_of([space], TODAY)[space.pk]
    assert [room.free(day) for day in (TODAY, MONDAY, date(2026, 6, 7), date(2026, 6, 8))] == [18, 0, 0, 18]


def test_a_plan_that_does_not_fit_is_kept_and_its_clash_said(planting):
    space = a_space("F-1")
    other = a_planting("P-2", 12, variety=a_variety("red oakleaf"))
    a_stay(other, space, planned_to_on=date(2026, 5, 18))
    done = plan(planting, space)
    words = "F-1: 12 places too few from Mon 11 May to Sun 17 May: P-1 green butterhead, P-2 red oakleaf"
    assert done.answer["clashes"] == [words]
    assert done.entry.said.endswith(f"on Mon 11 May 2026. {words}")


def test_a_clash_without_an_end_says_from_when(planting):
    space = a_space("F-1")
    a_stay(a_planting("P-2", 18, variety=a_variety("sorrel")), space)
    a_stay(a_planting("P-3", 1, variety=a_variety("cress")), space, over_full_because="no room else")
    (clash,) = rooms_of([space], TODAY)[space.pk].clashes(TODAY)
    assert clash_in_words(clash) == (
        "F-1: 1 place too few from Mon 4 May on: P-2 sorrel, P-3 cress (over-full because: no room else)"
    )


def test_it_may_end_on_a_day_of_its_own(planting):
    space = a_space("F-1")
    plan(planting, space, to_on=date(2026, 5, 25))
    assert rooms_of([space], TODAY)[space.pk].free(date(2026, 5, 25)) == 18


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"plants": 0}, "P-1 has 120 plants; plan for 1 to 120."),
        ({"plants": 121}, "P-1 has 120 plants; plan for 1 to 120."),
        ({"from_on": date(2026, 4, 12)}, "P-1 is sown on Mon 13 Apr 2026; it cannot stand anywhere before."),
        ({"to_on": MONDAY}, "The day of leaving must come after the day of coming in."),
    ],
)
def test_what_cannot_be_is_refused(planting, facts, words):
    with pytest.raises(Refused) as refused:
        plan(planting, a_space("F-1"), **facts)
    assert str(refused.value) == words


def test_nothing_is_planned_for_what_was_cleared(planting):
    planting.cleared_on = TODAY
    planting.save()
    with pytest.raises(Refused, match=r"^P-1 does not stand any more\.$"):
        plan(planting, a_space("F-1"))


def test_a_plan_is_given_up_once_and_an_undo_brings_it_back(planting):
    space = a_space("F-1")
    stay = Stay.objects.get(pk=plan(planting, space).answer["stay"])
    given_up = drop_plan(saying=saying("drop"), stay=stay).entry
    assert given_up.said == "Given up: P-1 into F-1 on Mon 11 May 2026"
    assert rooms_of([space], TODAY)[space.pk].occupants == ()
    with pytest.raises(Refused, match=r"^That is planned no more\.$"):
        drop_plan(saying=saying("again"), stay=stay)
    undo(saying("undo", corrects=given_up))
    assert [one.plants for one in rooms_of([space], TODAY)[space.pk].occupants] == [18]
