"""Waits follow the plants, through every move and over the night the clocks change."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Leaving, Stay
from farmops.growing.move_plants import move_plants
from farmops.growing.room_for import Into
from farmops.journal.undo import undo
from farmops.waiting.do_not_cut import do_not_cut
from farmops.waiting.lift_wait import lift_wait
from farmops.waiting.models import DoNotCut, Treatment
from farmops.waiting.waits_for import Wait, in_words, lines_now, waits_for, words_in
from tests.growing.beds import NOW, TODAY, a_planting, a_space, a_stay, a_variety, saying

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("America/New_York")
SOAP = "soap spray (invented label)"


def at(day, hour=9, minute=0):
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZONE)


def treated(ended_on, *, entry, **facts):
    return Treatment.objects.create(product=SOAP, ended_on=ended_on, entry=entry, **facts)


def move(key, stay, space, plants, day):
    done = move_plants(saying=saying(key, day), stay=stay, into=[Into(space, plants)])
    return Stay.objects.get(pk=done.answer["stays"][0])


def until(planting, stay, moment):
    wait = waits_for([planting], moment)[planting.pk].longest(stay.pk if stay else None)
    return wait.until if wait else None


@pytest.mark.case("S05")
def test_a_dip_follows_the_plants_and_not_the_channel():
    """howyougrowmatters.com/dips.html, griffins.com; our numbers: 128 plugs dipped 3 September, 21 days."""
    tray = a_planting("T-12", 128, sown_on=date(2026, 8, 20))
    shelf = a_space("S-1", 200, "seedling shelf")
    plugs = a_stay(tray, shelf)
    three, four = a_space("3", 72), a_space("4", 72)
    treated(date(2026, 9, 3), planting=tray, harvest_days=21, entry=tray.entry, how="dip")
    day = date(2026, 9, 8)
    in_three, in_four = move("one", plugs, three, 60, day), move("two", plugs, four, 60, day)
    lose_plants(saying=saying("thrown", day), stay=plugs, plants=8)
    assert sum(Leaving.objects.values_list("plants", flat=True)) == 60 + 60 + 8 == 128
    end = at(date(2026, 9, 25), 0)  # the 24th is over: no time was noted, so 21 days from the end of the 3rd
    for stay in (in_three, in_four):
        assert until(tray, stay, at(date(2026, 9, 20))) == end
    new = a_planting("P-9", 60, sown_on=date(2026, 9, 26), variety=a_variety("mizuna"))
    stay = a_stay(new, three)
    assert until(new, stay, at(date(2026, 9, 26))) is None


@pytest.fixture
def planting():
    planting = a_planting()
    a_stay(planting, a_space("N-1", 240, "nursery channel"))
    return planting


def test_a_wait_of_a_stay_goes_with_what_moves_afterwards_and_not_with_what_left_before(planting):
    first = planting.stays.get()
    before = move("one", first, a_space("F-1", 72), 40, date(2026, 5, 4))
    tuesday, thursday = date(2026, 5, 5), date(2026, 5, 7)
    do_not_cut(saying=saying("wait", tuesday), planting=planting, stay=first, before_day=thursday, reason="mildew?")
    later = move("two", first, a_space("F-2", 72), 40, date(2026, 5, 6))
    twice = move("three", later, a_space("F-3", 72), 20, date(2026, 5, 6))
    now = at(date(2026, 5, 6), 10)
    found = waits_for([planting], now)[planting.pk]
    assert [found.longest(stay.pk) is not None for stay in (first, before, later, twice)] == [True, False, True, True]
    assert found.longest() == found.longest(first.pk)
    assert until(planting, twice, now) == at(thursday, 0)
    assert until(planting, twice, at(thursday, 0)) is None


def test_a_wait_of_the_planting_holds_wherever_it_stands_until_it_is_lifted(planting):
    done = do_not_cut(saying=saying("wait"), planting=planting, reason="ask the laboratory")
    stay = move("one", planting.stays.get(), a_space("F-1", 72), 40, TODAY)
    found = waits_for([planting], NOW + timedelta(days=300))[planting.pk].longest(stay.pk)
    assert found == Wait(until=None, reason="ask the laboratory", since=TODAY, wait=done.answer["wait"])
    assert in_words(found, planting, ["F-1"], ZONE) == (
        "Do not cut P-1 green butterhead in F-1 until it is lifted: ask the laboratory"
    )
    lifting = lift_wait(saying=saying("lift"), wait=DoNotCut.objects.get(), reason="nothing found").entry
    assert waits_for([planting], NOW)[planting.pk].of() == ()
    undo(saying("undo", corrects=lifting))
    assert len(waits_for([planting], NOW)[planting.pk].of()) == 1


def test_the_longest_wait_counts_and_all_are_listed(planting):
    stay = planting.stays.get()
    treated(TODAY, planting=planting, harvest_days=3, ended_minute=16 * 60 + 30, entry=planting.entry)
    treated(TODAY, space=stay.space, harvest_days=1, ended_minute=8 * 60, entry=planting.entry)
    do_not_cut(saying=saying("wait"), planting=planting, before_day=date(2026, 5, 6), reason="rinse first")
    found = waits_for([planting], NOW)[planting.pk]
    assert [wait.until for wait in found.of(stay.pk)] == [
        at(date(2026, 5, 7), 16, 30),
        at(date(2026, 5, 6), 0),
        at(date(2026, 5, 5), 8),
    ]
    assert lines_now(planting, NOW)[0] == (
        found.longest(),
        f"Do not cut P-1 green butterhead in {stay.space.name} before Thu 7 May 2026, 16:30: {SOAP}",
    )


def test_days_that_are_not_known_outlast_every_other_wait(planting):
    treated(TODAY, planting=planting, entry=planting.entry)
    do_not_cut(saying=saying("wait"), planting=planting, before_day=date(2026, 5, 6), reason="rinse first")
    longest = waits_for([planting], NOW)[planting.pk].longest()
    assert (longest.until, longest.reason) == (None, SOAP)


@pytest.mark.parametrize(
    ("ended", "must_wait"),
    [
        pytest.param(date(2026, 4, 12), False, id="before it came in"),
        pytest.param(date(2026, 4, 13), True, id="on the day it came in"),
        pytest.param(date(2026, 5, 4), True, id="on the day the last of it left"),
        pytest.param(date(2026, 5, 5), False, id="after it left"),
    ],
)
def test_a_treated_space_touches_what_stood_in_it_on_that_day(planting, ended, must_wait):
    """Came in on 13 April, all moved on 4 May."""
    stay = planting.stays.get()
    moved = move("one", stay, a_space("F-1", 120), 120, TODAY)
    treated(ended, space=stay.space, harvest_days=60, entry=planting.entry)
    assert (until(planting, moved, at(date(2026, 5, 6))) is not None) is must_wait


def test_where_nobody_may_enter_nothing_is_cut_though_it_came_in_later(planting):
    channel = a_space("F-1", 72)
    treated(date(2026, 5, 3), space=channel, harvest_days=0, entry_hours=48, ended_minute=600, entry=planting.entry)
    stay = move("one", planting.stays.get(), channel, 40, TODAY)
    assert until(planting, stay, NOW) == at(date(2026, 5, 5), 10)
    out = move("two", stay, a_space("F-2", 72), 10, TODAY)
    assert until(planting, out, NOW) is None


def test_a_treatment_of_one_planting_in_a_space_leaves_its_neighbours_alone(planting):
    shelf = planting.stays.get().space
    neighbour = a_planting("P-2", 10)
    a_stay(neighbour, shelf)
    treated(TODAY, planting=planting, space=shelf, harvest_days=3, entry=planting.entry)
    found = waits_for([planting, neighbour], NOW)
    assert [found[one.pk].longest() is not None for one in (planting, neighbour)] == [True, False]


@pytest.mark.case("S03")
@pytest.mark.parametrize(
    ("ended", "hours", "free"),
    [
        pytest.param(date(2026, 10, 31), 12, datetime(2026, 11, 1, 7, 0, tzinfo=ZONE), id="d"),
        pytest.param(date(2026, 3, 7), 12, datetime(2026, 3, 8, 9, 0, tzinfo=ZONE), id="e"),
    ],
)
def test_twelve_hours_over_the_night_the_clocks_change_are_twelve(ended, hours, free):
    """Tried with Django 5.2.19: aware datetimes inside one zone add by the wall clock; the case's own hours."""
    planting = a_planting(sown_on=date(2026, 1, 1))
    treated(ended, planting=planting, harvest_days=0, entry_hours=hours, ended_minute=20 * 60, entry=planting.entry)
    wait = waits_for([planting], at(ended, 23))[planting.pk].longest()
    assert wait.until == free
    assert in_words(wait, planting, (), ZONE) == (
        f"Do not cut P-1 green butterhead before {free:%a} {free.day} {free:%b %Y, %H:%M}: {SOAP}"
    )


def test_what_was_said_or_done_later_does_not_reach_back(planting):
    treated(date(2026, 5, 6), planting=planting, harvest_days=3, entry=planting.entry)
    do_not_cut(saying=saying("wait", date(2026, 5, 6)), planting=planting, reason="mildew")
    assert waits_for([planting], at(date(2026, 5, 5)))[planting.pk].of() == ()


def test_an_undone_wait_is_none(planting):
    entry = do_not_cut(saying=saying("wait"), planting=planting, reason="mildew").entry
    undo(saying("undo", corrects=entry))
    assert waits_for([planting], NOW)[planting.pk].of() == ()


@pytest.mark.parametrize("plantings", [1, 3, 60])
def test_many_plantings_ask_as_often_as_one(django_assert_num_queries, plantings):
    some = [a_planting(f"P-{number}") for number in range(plantings)]
    for number, one in enumerate(some):
        stay = a_stay(one, a_space(f"F-{number}", 120))
        do_not_cut(saying=saying(f"wait {number}"), planting=one, reason="mildew")
        treated(date(2026, 4, 20), space=stay.space, harvest_days=1, entry=one.entry)
    with django_assert_num_queries(5):
        found = waits_for(some, NOW)
    assert [len(waits.of()) for waits in found.values()] == [1] * plantings


def test_moments_are_in_utc_when_stored(planting):
    do_not_cut(saying=saying("wait"), planting=planting, before_day=date(2026, 5, 7), before_minute=990, reason="soap")
    assert DoNotCut.objects.get().before == datetime(2026, 5, 7, 20, 30, tzinfo=UTC)


def test_only_the_places_that_wait_are_named_and_each_space_says_its_own(planting):
    """40 went to F-1 and 20 to F-2; F-2 waits."""
    shelf = planting.stays.get()
    first = move("one", shelf, a_space("F-1", 72), 40, TODAY)
    second = move("two", shelf, a_space("F-2", 72), 20, TODAY)
    do_not_cut(saying=saying("wait"), planting=planting, stay=second, before_day=date(2026, 5, 6), reason="hail")
    said = "Do not cut P-1 green butterhead in F-2 before Wed 6 May 2026, 00:00: hail"
    assert [words for _wait, words in lines_now(planting, NOW)] == [said]
    assert [words_in(one.space, [one], NOW) for one in (first, second)] == [[], [said]]
    assert lines_now(planting, at(date(2026, 5, 6), 0)) == []
