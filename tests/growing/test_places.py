"""Places of spaces as the records have them: turns that touch or clash, plans, and what stays longer than planned."""

from datetime import date, timedelta

import pytest

from farmops.growing.balance import balance_of
from farmops.growing.clear import clear_planting
from farmops.growing.ground import rooms_of
from farmops.growing.models import Space
from farmops.growing.pace import Pace, farm_place, paces_of
from farmops.growing.places import places_in_words, places_text, plants_that_fit, still_to_come
from farmops.growing.plan_stay import plan_stay
from farmops.harvest.models import Pick
from tests.growing.beds import TODAY, a_planting, a_schedule, a_space, a_stay, a_variety, saying
from tests.harvest.picks import pick

pytestmark = pytest.mark.django_db
SEPTEMBER = date(2026, 9, 1)


def room_of(space, today=TODAY):
    return rooms_of([Space.objects.select_related("kind").get(pk=space.pk)], today)[space.pk]


def two_turns(second_in):
    """Channel 7: the first crop 1-29 September, the second planned in."""
    channel = a_space("7")
    first = a_planting("P-1", 18, sown_on=SEPTEMBER)
    a_stay(first, channel, planned_to_on=date(2026, 9, 29))
    second = a_planting("P-2", 18, sown_on=SEPTEMBER, variety=a_variety("red oakleaf"))
    said = saying("plan", day=date(2026, 9, 2))
    done = plan_stay(saying=said, planting=second, space=channel, plants=18, from_on=second_in)
    nursery = a_space("N-1", 72, "nursery channel")
    a_stay(second, nursery)
    return channel, first, second, done


@pytest.mark.case("G07")
def test_a_turn_planned_in_a_day_too_early_clashes_and_both_are_named():
    # highmowingseeds.com crop talk (successions), cherthollowfarm.com 2009/07; our numbers.
    channel, _first, _second, done = two_turns(date(2026, 9, 28))
    words = "7: 18 places too few on Mon 28 Sep: P-1 green butterhead, P-2 red oakleaf"
    assert done.answer["clashes"] == [words]
    (clash,) = room_of(channel, date(2026, 9, 2)).clashes(date(2026, 9, 2))
    assert (clash.from_on, clash.last_on, clash.over) == (date(2026, 9, 28), date(2026, 9, 28), 18.0)
    assert [stay.planting.code for stay in clash.stays] == ["P-1", "P-2"]


@pytest.mark.case("G07")
def test_out_in_the_morning_and_in_on_the_same_day_is_no_clash():
    channel, *_rest, done = two_turns(date(2026, 9, 29))
    assert done.answer["clashes"] == []
    assert room_of(channel, date(2026, 9, 2)).clashes(date(2026, 9, 2)) == []


@pytest.mark.case("G07")
def test_clearing_early_ends_the_clash_frees_the_days_and_leaves_what_was_cut():
    channel, first, _second, _done = two_turns(date(2026, 9, 28))
    pick("cut", first, count="6", said={"day": date(2026, 9, 24), "now": saying("x", day=date(2026, 9, 24)).now})
    clear_planting(saying=saying("clear", day=date(2026, 9, 25)), planting=first)
    room = room_of(channel, date(2026, 9, 25))
    assert room.clashes(date(2026, 9, 25)) == []
    assert [room.free(date(2026, 9, day)) for day in (25, 26, 27, 28)] == [18, 18, 18, 0]
    assert list(Pick.objects.values_list("count", flat=True)) == [6]
    first.refresh_from_db()
    assert (first.cleared_on, balance_of(first).left) == (date(2026, 9, 25), 0)


@pytest.mark.case("G07")
def test_half_a_channel_can_be_free():
    channel = a_space("7")
    a_stay(a_planting(plants=12), channel)
    room = room_of(channel)
    assert (room.places(TODAY), room.taken(TODAY), room.free(TODAY)) == (18, 12, 6)


@pytest.mark.case("G08")
def test_a_planting_held_back_keeps_its_age_and_says_since_when():
    """In the nursery from 1 October for 7 days; on the 22nd it is held since the 8th, its places taken week by week."""
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 7, 1), ("finishing channel", 28, 1))
    nursery = a_space("N-1", 120, "nursery channel")
    planting = a_planting(variety=variety, sown_on=date(2026, 10, 1))
    a_stay(planting, nursery)
    on_time = room_of(nursery, date(2026, 10, 7)).occupants[0]
    assert (on_time.held_since, on_time.to_on) == (None, date(2026, 10, 8))
    held = room_of(nursery, date(2026, 10, 22)).occupants[0]
    assert (held.held_since, held.to_on, held.plants) == (date(2026, 10, 8), date(2026, 10, 26), 120)
    assert held.stay.planting.sown_on == date(2026, 10, 1)


@pytest.mark.case("G12")
@pytest.mark.parametrize(
    ("sown", "days", "out"),
    [
        (date(2028, 2, 20), 21, date(2028, 3, 12)),
        (date(2027, 2, 20), 21, date(2027, 3, 13)),
        (date(2028, 2, 10), 19, date(2028, 2, 29)),
    ],
)
def test_a_stay_over_the_end_of_february_ends_on_its_day(sown, days, out):
    """timestring #38, habito #34: leap days that were missed; the case's own numbers."""
    variety = a_variety()
    a_schedule(variety, ("seedling shelf", days, 72), ("finishing channel", 28, 1))
    shelf = a_space("S-1", 8, "seedling shelf")
    a_stay(a_planting(variety=variety, plants=72, sown_on=sown), shelf)
    occupant = room_of(shelf, sown).occupants[0]
    assert (occupant.to_on, occupant.places) == (out, 1.0)


def test_the_tightest_day_is_the_first_of_those_with_least():
    space = a_space("7")
    a_stay(a_planting("P-1", 6), space, planned_to_on=date(2026, 5, 20))
    second = a_planting("P-2", 10)
    a_stay(second, space, from_on=date(2026, 5, 11), state="planned", planned_to_on=date(2026, 5, 30))
    tight = room_of(space).narrowest(TODAY, date(2026, 6, 10))
    assert (tight.day, tight.places, tight.taken, tight.free) == (date(2026, 5, 11), 18, 16, 2)


@pytest.fixture
def planned():
    """120 plants in the nursery, 90 of them planned into one finishing channel."""
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 7, 1), ("finishing channel", 28, 1))
    planting = a_planting(variety=variety)
    nursery = a_stay(planting, a_space("N-1", 120, "nursery channel"))
    plan = a_stay(planting, a_space("F-1", 100), 90, from_on=TODAY, state="planned")
    return planting, nursery, plan


def coming(planting, plan):
    pace: Pace | None = paces_of([planting]).get(planting.pk)
    return still_to_come(plan, balance_of(planting), pace)


def test_of_a_plan_only_what_can_still_come_is_counted(planned):
    planting, nursery, plan = planned
    assert coming(planting, plan) == 90
    a_stay(planting, plan.space, 40, from_on=TODAY, came_from=nursery)
    assert coming(planting, plan) == 50


def test_a_plan_counts_for_nothing_when_its_plants_went_elsewhere(planned):
    planting, nursery, plan = planned
    nursery.delete()
    a_stay(planting, a_space("F-2", 120), 120, from_on=TODAY)
    assert coming(planting, plan) == 0


def test_a_plan_that_names_where_its_plants_come_from_counts_those(planned):
    planting, nursery, plan = planned
    plan.came_from = nursery
    assert coming(planting, plan) == 90


def test_the_plans_of_a_sowing_to_come_count_in_full():
    planting = a_planting(state="planned", sown_on=date(2026, 5, 11))
    space = a_space("7", 120)
    a_stay(planting, space, 120, state="planned")
    room = room_of(space)
    assert [room.taken(date(2026, 5, day)) for day in (10, 11)] == [0, 120]
    planting.state = "not sown"
    planting.save()
    assert room_of(space).occupants == ()


def test_without_a_schedule_nobody_knows_the_end():
    space = a_space("7")
    a_stay(a_planting(plants=12), space)
    room = room_of(space)
    assert room.occupants[0].stays_on is True
    assert room.free(TODAY + timedelta(days=3000)) == 6
    assert farm_place().latitude == 42.0


@pytest.mark.parametrize(("free", "per_place", "plants"), [(2.0, 1, 2), (1 / 3 * 3, 72, 72), (-1.0, 1, 0), (0.5, 3, 1)])
def test_whole_plants_fit(free, per_place, plants):
    assert plants_that_fit(free, per_place) == plants


@pytest.mark.parametrize(("places", "words"), [(18.0, "18"), (5 / 3, "1.67"), (0.5, "0.5"), (0.0, "0")])
def test_places_are_said_as_people_say_them(places, words):
    assert places_text(places) == words


@pytest.mark.parametrize(("places", "words"), [(18.0, "18 places"), (1.0, "1 place"), (0.5, "0.5 places")])
def test_places_are_counted_in_words(places, words):
    assert places_in_words(places) == words
