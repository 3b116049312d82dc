"""Moving plants: what fits on every day ahead, what is offered where it does not, and what waits."""

import threading
from datetime import date, timedelta

import pytest
from django.db import connection

from farmops.growing.balance import balance_of
from farmops.growing.clear import clear_planting
from farmops.growing.ground import rooms_of
from farmops.growing.models import Leaving, Space, Stay
from farmops.growing.move_plants import growth_of, move_plants
from farmops.growing.room_for import Into, room_for, spread
from farmops.journal.refusal import NeedsYes, Refused
from farmops.journal.undo import undo
from tests.growing.beds import (
    TODAY,
    a_kind,
    a_planting,
    a_schedule,
    a_space,
    a_stay,
    a_variety,
    saying,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def nursery():
    """120 plants that stand in the nursery and go to finishing channels of 18 next."""
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    return a_stay(a_planting(variety=variety), a_space("N-1", 240, "nursery channel"))


def move(key, stay, *into, day=TODAY, **other):
    said = {name: other.pop(name) for name in ("corrects",) if name in other}
    return move_plants(saying=saying(key, day, **said), stay=stay, into=[Into(*one) for one in into], **other)


def here(planting):
    return [(one.stay.space.name, one.plants) for one in balance_of(planting).here]


def test_a_part_moves_and_the_rest_waits(nursery):
    done = move("one", nursery, (a_space("F-1", 72), 60))
    assert done.entry.said == ("60 of P-1 green butterhead moved from N-1 to F-1, Mon 4 May 2026; 60 wait in N-1")
    assert done.answer["left"] == 60
    assert here(nursery.planting) == [("N-1", 60), ("F-1", 60)]
    arrived = Stay.objects.get(pk=done.answer["stays"][0])
    assert (arrived.came_from, arrived.stage_number, arrived.from_on) == (nursery, 2, TODAY)


def test_one_job_fills_several_channels_and_one_undo_takes_all_of_it_back(nursery):
    one, two = a_space("F-1"), a_space("F-2")
    done = move("one", nursery, (one, 18), (two, 12))
    assert done.entry.said == (
        "30 of P-1 green butterhead moved from N-1 to F-1 18, F-2 12, Mon 4 May 2026; 90 wait in N-1"
    )
    assert here(nursery.planting) == [("N-1", 90), ("F-1", 18), ("F-2", 12)]
    undo(saying("undo", corrects=done.entry))
    assert here(nursery.planting) == [("N-1", 120)]


def test_the_last_plants_end_the_stay_and_an_undo_opens_it_again(nursery):
    done = move("all", nursery, (a_space("F-1", 120), 120))
    nursery.refresh_from_db()
    assert nursery.is_over is True
    undo(saying("undo", corrects=done.entry))
    nursery.refresh_from_db()
    assert (nursery.is_over, here(nursery.planting)) == (False, [("N-1", 120)])


def test_what_does_not_fit_is_refused_with_the_numbers_and_what_fits(nursery):
    channel = a_space("F-1")
    a_stay(a_planting("P-0", 12), channel)
    with pytest.raises(Refused) as refused:
        move("one", nursery, (channel, 18))
    assert str(refused.value) == "F-1 has 18 places, 12 taken on Mon 4 May: 6 free, 18 needed. 6 plants fit."
    assert refused.value.offer == {"plants": 6, "into": {"F-1": 6}}
    assert Leaving.objects.count() == 0


def test_the_offer_is_that_of_the_tightest_day_ahead(nursery):
    """Free today, but 10 places are planned for others from the 11th, while ours would stand there until 1 June."""
    channel = a_space("F-1")
    other = a_planting("P-0", 10)
    a_stay(other, channel, from_on=date(2026, 5, 11), state="planned", planned_to_on=date(2026, 5, 20))
    with pytest.raises(Refused) as refused:
        move("one", nursery, (channel, 18))
    assert str(refused.value) == "F-1 has 18 places, 10 taken on Mon 11 May: 8 free, 18 needed. 8 plants fit."


def test_a_full_channel_is_let_over_full_for_a_reason_which_then_shows(nursery):
    channel = a_space("F-1")
    a_stay(a_planting("P-0", 18), channel)
    with pytest.raises(Refused) as refused:
        move("one", nursery, (channel, 6))
    assert str(refused.value) == (
        "No room in F-1: 18 places, 18 taken on Mon 4 May, 6 needed. Choose another, or say why it may be over-full."
    )
    move("two", nursery, (channel, 6), over_full_because="they go on Wednesday")
    (clash,) = rooms_of([channel], TODAY)[channel.pk].clashes(TODAY)[:1]
    assert (clash.over, clash.reasons) == (6.0, ("they go on Wednesday",))


def test_a_reason_that_was_not_needed_is_not_kept(nursery):
    done = move("one", nursery, (a_space("F-1"), 18), over_full_because="in case")
    assert Stay.objects.get(pk=done.answer["stays"][0]).over_full_because == ""


def test_the_second_of_two_people_is_told_what_is_left(nursery):
    move("one", nursery, (a_space("F-1", 100), 100))
    with pytest.raises(Refused) as refused:
        move("two", nursery, (a_space("F-2", 100), 60))
    assert (str(refused.value), refused.value.offer) == ("20 plants are left in N-1, not 60.", {"plants": 20})


@pytest.mark.django_db(transaction=True)
def test_two_people_at_once_never_move_the_same_plants():
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    stay = a_stay(a_planting(variety=variety), a_space("N-1", 240, "nursery channel"))
    spaces = [a_space("F-1", 100), a_space("F-2", 100)]
    gate, heard = threading.Barrier(2), []

    def post(number):
        try:
            gate.wait()
            heard.append(move(f"form {number}", stay, (spaces[number], 100)).entry.said[:3])
        except Refused as refused:
            heard.append(str(refused))
        finally:
            connection.close()

    threads = [threading.Thread(target=post, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(heard) == ["100", "20 plants are left in N-1, not 100."]
    assert sorted(plants for _name, plants in here(stay.planting)) == [20, 100]


@pytest.mark.django_db(transaction=True)
def test_two_plantings_at_once_never_overfill_a_channel():
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    shelf, channel = a_space("N-1", 240, "nursery channel"), a_space("F-1")
    stays = [a_stay(a_planting(f"P-{number}", 12, variety=variety), shelf) for number in range(2)]
    gate, heard = threading.Barrier(2), []

    def post(number):
        try:
            gate.wait()
            heard.append(move(f"form {number}", stays[number], (channel, 12)).answer["left"])
        except Refused as refused:
            heard.append(str(refused))
        finally:
            connection.close()

    threads = [threading.Thread(target=post, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    words = "F-1 has 18 places, 12 taken on Mon 4 May: 6 free, 12 needed. 6 plants fit."
    assert sorted(heard, key=str) == [0, words]


@pytest.mark.parametrize(
    ("plants", "day", "words"),
    [
        (0, TODAY, "Say how many: 1 or more."),
        (121, TODAY, "120 plants are left in N-1, not 121."),
        (5, date(2026, 5, 5), "Tue 5 May 2026 lies ahead. Note it when it is done."),
        (
            5,
            date(2026, 4, 12),
            "They came into N-1 only on Mon 13 Apr 2026, so not yet on Sun 12 Apr 2026. Put the day right.",
        ),
    ],
)
def test_what_cannot_have_happened_is_refused(nursery, plants, day, words):
    space = a_space("F-1", 200)
    said = saying("one", day=day, now=saying("x").now)
    with pytest.raises(Refused) as refused:
        move_plants(saying=said, stay=nursery, into=[Into(space, plants)])
    assert str(refused.value) == words


def test_plants_do_not_move_to_where_they_are_nor_twice_into_one_space(nursery):
    with pytest.raises(Refused, match=r"^They stand in N-1 already\.$"):
        move("one", nursery, (nursery.space, 5))
    space = a_space("F-1")
    with pytest.raises(Refused, match=r"^The same space stands there twice\.$"):
        move("two", nursery, (space, 5), (space, 5))


def test_a_kind_of_space_its_schedule_does_not_know_is_asked_about(nursery):
    bed = a_space("Bed A", 200, "bed")
    with pytest.raises(NeedsYes) as asked:
        move("one", nursery, (bed, 20))
    assert (asked.value.question, str(asked.value)) == (
        "other_kind",
        "green butterhead has no stage in a bed by its schedule. Move them there all the same?",
    )
    move("two", nursery, (bed, 20), yes={"other_kind"})
    assert here(nursery.planting) == [("N-1", 100), ("Bed A", 20)]


def test_nothing_is_moved_of_what_was_cleared(nursery):
    clear_planting(saying=saying("clear"), planting=nursery.planting)
    with pytest.raises(Refused, match=r"^P-1 was cleared on Mon 4 May 2026\."):
        move("one", nursery, (a_space("F-1"), 5))


def test_a_correction_replaces_the_move(nursery):
    wrong = move("one", nursery, (a_space("F-1", 72), 60)).entry
    move("two", nursery, (a_space("F-2", 72), 50), corrects=wrong)
    assert here(nursery.planting) == [("N-1", 70), ("F-2", 50)]


def test_a_plan_is_over_when_its_plants_have_come_and_back_after_an_undo(nursery):
    channel = a_space("F-1", 90)
    plan = a_stay(nursery.planting, channel, 90, from_on=TODAY, state="planned")
    move("one", nursery, (channel, 40))
    plan.refresh_from_db()
    assert plan.is_over is False
    rest = move("two", nursery, (channel, 50)).entry
    plan.refresh_from_db()
    assert plan.is_over is True
    undo(saying("undo", corrects=rest))
    plan.refresh_from_db()
    assert plan.is_over is False


def test_a_plan_is_over_too_when_its_plants_all_went_elsewhere(nursery):
    plan = a_stay(nursery.planting, a_space("F-1", 120), 120, from_on=TODAY, state="planned")
    move("one", nursery, (a_space("F-2", 120), 120))
    plan.refresh_from_db()
    assert plan.is_over is True


@pytest.mark.case("G08")
def test_the_fourth_planting_waits_a_week_and_is_ready_a_week_later():
    """producegrower.com (nursery and finishing); our numbers: 20 channels of 18, 120 a week, 28 days in October."""
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 7, 1), ("finishing channel", "05-01=21;09-30=21;10-01=28;12-31=28", 1))
    shelf = a_space("N-1", 240, "nursery channel")
    channels = [a_space(f"F-{number}") for number in range(1, 21)]
    mondays = [date(2026, 10, 5) + timedelta(weeks=number) for number in range(5)]
    stays = [
        a_stay(a_planting(f"P-{n}", variety=variety, sown_on=day - timedelta(days=7)), shelf)
        for n, day in enumerate(mondays[:4], 1)
    ]

    def moved(number, day):
        stay = stays[number]
        growth = growth_of(stay.planting)
        rooms = room_for(channels[0].kind, growth.coming(stay, channels[0].kind, day), day)
        into = spread(120, rooms)
        if into:
            move_plants(saying=saying(f"P-{number} {day}", day), stay=stay, into=into)
        return sum(one.plants for one in into)

    assert [moved(number, mondays[number]) for number in range(3)] == [120, 120, 120]
    found = rooms_of(channels, mondays[3])
    assert sum(room.taken(mondays[3]) for room in found.values()) == 360
    assert moved(3, mondays[3]) == 0
    with pytest.raises(Refused, match=r"^No room in F-1: 18 places, 18 taken on Mon 26 Oct, 18 needed\."):
        move("too early", stays[3], (channels[0], 18), day=mondays[3])
    held = rooms_of([shelf], mondays[3])[shelf.pk].occupants
    assert [(one.stay.planting.code, one.held_since) for one in held] == [("P-4", mondays[3])]
    clear_planting(saying=saying("cut", mondays[4]), planting=stays[0].planting)
    assert moved(3, mondays[4]) == 120
    (first_of_four,) = {
        one.to_on
        for room in rooms_of(channels, mondays[4]).values()
        for one in room.occupants
        if one.stay.planting.code == "P-4"
    }
    assert first_of_four == mondays[3] + timedelta(days=28 + 7)
    assert stays[3].planting.sown_on == mondays[3] - timedelta(days=7)


def test_what_comes_next_is_the_kind_of_the_next_stage(nursery):
    growth = growth_of(nursery.planting)
    assert growth.next_kind(nursery) == a_kind("finishing channel")
    last = a_stay(nursery.planting, a_space("F-1"), 18, from_on=TODAY)
    assert growth.next_kind(last) == a_kind("finishing channel")
    coming = growth.coming(nursery, a_kind("finishing channel"), TODAY)
    assert (coming.per_place, coming.to_on) == (1.0, date(2026, 6, 1))
    assert list(Space.objects.values_list("name", flat=True).order_by("pk")) == ["N-1", "F-1"]
