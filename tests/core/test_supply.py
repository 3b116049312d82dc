"""What is coming from what stands: records in place of plans."""

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.coming import Basis, Note, Taken
from farmops.core.growth import Need, Place, Slowness
from farmops.core.schedule import Lost, Picked, Planting, Schedule, Stage, Stand, Walked, Way
from farmops.core.supply import outlook

HERE = Place(latitude=42.0)
SOWN = date(2026, 5, 4)  # a Monday
LETTUCE = Schedule(
    (Stage("nursery", "nursery", Need(14), 1.0, 0.9), Stage("finishing", "channel", Need(21), 1.0, 0.95)),
    Way.HEAD,
    "head",
    1.0,
    stands_days=10,
)
MIZUNA = Schedule(
    (Stage("bench", "bench", Need(28), 128.0, 0.8),),
    Way.CUT,
    "lb",
    0.05,
    packed=0.9,
    cuttings=(1.0, 0.8, 0.6),
    regrowth=Need(14),
)
KALE = Schedule(
    (Stage("nursery", "nursery", Need(28), 1.0, 1.0), Stage("bed", "bed", Need(28), 1.0, 1.0)),
    Way.PICKED,
    "lb",
    0.25,
    pick_weeks=20,
)


def lettuce(**known):
    return Planting("P-1", "green butterhead", LETTUCE, SOWN, 120, **known)


def expected(planting, as_of, own=None):
    return [
        (coming.first, coming.last, round(coming.amount, 6)) for coming in outlook(planting, HERE, as_of, own).coming
    ]


NURSERY = Stand("N-1", "nursery", 0, 120, SOWN)


def test_a_planting_on_time_follows_its_schedule():
    found = outlook(lettuce(stands=(NURSERY,)), HERE, date(2026, 5, 6))
    assert found.ready == date(2026, 6, 8)
    assert expected(lettuce(stands=(NURSERY,)), date(2026, 5, 6)) == [
        (date(2026, 6, 8), date(2026, 6, 17), round(120 * 0.9 * 0.95, 6))
    ]
    assert found.room == [
        Taken("nursery", 120.0, SOWN, date(2026, 5, 18), "N-1"),
        Taken("channel", 108.0, date(2026, 5, 18), date(2026, 6, 18)),
    ]
    assert found.notes == []


@pytest.mark.case("G08")
def test_a_planting_held_back_for_want_of_room_is_ready_as_much_later_and_stays_as_old_as_it_is():
    # producegrower.com "Utilizing a nursery for hydroponic production"; our numbers: 28 days of finishing in October,
    # the fourth planting of 120 due on 26 October waits seven days in the nursery, and the next week seven more.
    stages = (Stage("nursery", "nursery", Need(7), 1.0, 1.0), Stage("finishing", "channel", Need(28), 1.0, 1.0))
    schedule = Schedule(stages, Way.HEAD, "head", 1.0, stands_days=10)
    lit = Place(42.0, 1.0)
    fourth = Planting(
        "P-4", "lettuce", schedule, date(2026, 10, 19), 120, (Stand("N-1", "nursery", 0, 120, date(2026, 10, 19)),)
    )
    in_time = outlook(fourth, lit, date(2026, 10, 25))
    assert (in_time.ready, in_time.notes) == (date(2026, 11, 23), [])
    held = outlook(fourth, lit, date(2026, 10, 26))
    assert held.notes == [(Note.DUE_NOT_MOVED, 0.0)]
    assert held.ready == in_time.ready + timedelta(days=7) == date(2026, 11, 30)
    assert held.room[0] == Taken("nursery", 120.0, date(2026, 10, 19), date(2026, 11, 2), "N-1")
    longer = outlook(fourth, lit, date(2026, 11, 2))
    assert longer.notes == [(Note.DUE_NOT_MOVED, 7.0)]
    assert longer.ready == date(2026, 12, 7)
    moved = replace(fourth, stands=(Stand("F-1", "channel", 1, 120, date(2026, 11, 2)),))
    assert outlook(moved, lit, date(2026, 11, 2)).ready == date(2026, 11, 30)
    assert fourth.sown == date(2026, 10, 19)


def test_what_is_due_and_has_not_moved_is_expected_next_week():
    found = outlook(lettuce(stands=(NURSERY,)), HERE, date(2026, 5, 20))
    assert found.notes == [(Note.DUE_NOT_MOVED, 2.0)]
    assert found.room[0].to_day == date(2026, 5, 25)
    assert found.ready == date(2026, 6, 15)


def test_a_planting_moved_late_is_late_at_every_later_stage():
    late = date(2026, 5, 28)
    stands = (replace(NURSERY, to_day=late), Stand("F-1", "channel", 1, 105, late))
    found = outlook(lettuce(stands=stands), HERE, date(2026, 6, 1))
    assert found.ready == late + timedelta(days=21)
    assert found.amount(date(2026, 6, 1), date(2026, 7, 1)) == pytest.approx(105 * 0.95)


def test_half_moved_and_half_held_back_are_followed_apart():
    moved = date(2026, 5, 18)
    stands = (
        replace(NURSERY, to_day=moved),
        Stand("N-1", "nursery", 0, 54, SOWN),
        Stand("F-1", "channel", 1, 54, moved),
    )
    found = outlook(lettuce(stands=stands), HERE, date(2026, 5, 19))
    assert [(coming.first, round(coming.amount, 6)) for coming in found.coming] == [
        (date(2026, 6, 8), 51.3),
        (date(2026, 6, 15), round(54 * 0.9 * 0.95, 6)),
    ]


def test_more_lost_than_planned_counts_and_less_lost_waits_for_the_plan():
    few, many = Lost(date(2026, 5, 10), 4), Lost(date(2026, 5, 11), 40)
    assert expected(lettuce(stands=(NURSERY,), losses=(few,)), date(2026, 5, 12))[0][2] == round(120 * 0.9 * 0.95, 6)
    assert expected(lettuce(stands=(NURSERY,), losses=(few, many)), date(2026, 5, 12))[0][2] == round(76 * 0.95, 6)
    after = lettuce(stands=(NURSERY,), losses=(few, many))
    assert expected(after, date(2026, 5, 9))[0][2] == round(120 * 0.9 * 0.95, 6)


def test_two_stays_alike_lose_each_its_own_part():
    half = replace(NURSERY, plants=60)
    lost = (Lost(date(2026, 5, 10), 40),)
    assert expected(lettuce(stands=(half, half), losses=lost), date(2026, 5, 12))[0][2] == round(80 * 0.95, 6)


def test_what_was_lost_is_missing_from_those_that_stayed_not_from_those_counted_as_they_moved_on():
    """Of 20 in N-1 two were lost; 16 went on to F-1: two are left in N-1."""
    stands = (
        Stand("N-1", "nursery", 0, 16, SOWN, date(2026, 5, 18)),
        Stand("N-1", "nursery", 0, 4, SOWN),
        Stand("F-1", "channel", 1, 16, date(2026, 5, 18)),
    )
    lost = (Lost(date(2026, 5, 10), 2, "N-1"),)
    found = expected(lettuce(stands=stands, losses=lost), date(2026, 5, 19))
    assert [amount for _first, _last, amount in found] == [round(16 * 0.95, 6), round(2 * 0.95, 6)]


def test_heads_picked_are_no_longer_coming_and_give_their_places_back():
    stands = (Stand("F-1", "channel", 1, 100, date(2026, 5, 18)),)
    planting = lettuce(stands=stands, picks=(Picked(date(2026, 6, 9), 38),))
    found = outlook(planting, HERE, date(2026, 6, 10))
    assert [(coming.first, coming.last, coming.amount) for coming in found.coming] == [
        (date(2026, 6, 10), date(2026, 6, 17), pytest.approx(57.0))
    ]
    assert [taken.places for taken in found.room] == [pytest.approx(60.0)]


@pytest.mark.parametrize(
    ("where", "left"),
    [
        ("F-1", 57.0),  # F-1 is cut empty; the 60 of F-2 stand there as before
        ("F-2", 0.0),
        ("", 0.0),  # nobody said where: the 60 may be those of F-2
    ],
)
def test_heads_cut_in_a_channel_that_is_empty_now_are_not_missing_in_the_next(where, left):
    stands = (
        Stand("F-1", "channel", 1, 60, date(2026, 5, 18), date(2026, 6, 9)),
        Stand("F-2", "channel", 1, 60, date(2026, 5, 18)),
    )
    picks = (Picked(date(2026, 6, 9), 60, space=where),)
    assert sum(
        coming.amount for coming in outlook(lettuce(stands=stands, picks=picks), HERE, date(2026, 6, 10)).coming
    ) == (pytest.approx(left))


def test_heads_past_their_best_are_not_counted_until_somebody_has_looked():
    stands = (Stand("F-1", "channel", 1, 100, date(2026, 5, 18)),)
    forgotten = outlook(lettuce(stands=stands), HERE, date(2026, 7, 1))
    assert (forgotten.coming, forgotten.notes) == ([], [(Note.PAST_ITS_BEST, pytest.approx(95.0))])
    seen = lettuce(stands=stands, walks=(Walked(date(2026, 6, 30), "Ana", ready=80),))
    found = outlook(seen, HERE, date(2026, 7, 1))
    assert [(coming.amount, coming.basis) for coming in found.coming] == [(80.0, Basis.WALK)]
    assert (Note.SEEN_ON_A_WALK, 80.0) in found.notes


def test_what_the_grower_saw_overrides_the_figure():
    stands = (Stand("F-1", "channel", 1, 100, date(2026, 5, 18)),)
    late = lettuce(stands=stands, walks=(Walked(date(2026, 6, 1), "Ana", days_late=5),))
    assert outlook(late, HERE, date(2026, 6, 2)).ready == date(2026, 6, 13)
    some = lettuce(
        stands=stands, walks=(Walked(date(2026, 6, 9), "Ana", ready=80),), picks=(Picked(date(2026, 6, 9), 20),)
    )
    assert expected(some, date(2026, 6, 10)) == [(date(2026, 6, 10), date(2026, 6, 18), 60.0)]
    over = lettuce(stands=stands, walks=(Walked(date(2026, 6, 9), "Ana", finished=True),))
    found = outlook(over, HERE, date(2026, 6, 10))
    assert (found.coming, found.notes) == ([], [(Note.FINISHED, 0.0)])
    assert found.room == [Taken("channel", 100.0, date(2026, 5, 18), date(2026, 6, 15), "F-1")]


@pytest.mark.case("G07")
def test_clearing_ends_the_rest_and_keeps_what_was_picked():
    # cherthollowfarm.com 2009/07 "Market plans"; our numbers.
    stay = Stand("7", "channel", 1, 12, date(2026, 9, 1))
    crop = Planting(
        "crop 1", "green butterhead", LETTUCE, date(2026, 8, 18), 14, (stay,), picks=(Picked(date(2026, 9, 23), 5),)
    )
    before = outlook(crop, HERE, date(2026, 9, 24))
    assert math.fsum(coming.amount for coming in before.coming) > 0
    cleared = replace(crop, cleared=date(2026, 9, 25), stands=(replace(stay, to_day=date(2026, 9, 25)),))
    after = outlook(cleared, HERE, date(2026, 9, 25))
    assert (after.coming, after.room) == ([], [])
    assert cleared.picks == (Picked(date(2026, 9, 23), 5),)


@pytest.mark.case("G06")
def test_kale_goes_by_its_own_record_and_three_picks_do_not_end_it():
    # thornfieldfarm.com "Reality bites", hobbyfarms.com; our numbers.
    first = date(2026, 6, 1)
    stay = Stand("Bed 1", "bed", 1, 60, first - timedelta(days=28))
    picks = tuple(Picked(first + timedelta(weeks=week), amount) for week, amount in enumerate((11.2, 12.5, 9.8)))
    planting = Planting("K-1", "curly kale", KALE, first - timedelta(days=56), 60, (stay,))
    planned = outlook(planting, HERE, first).coming
    assert {(round(week.amount, 6), week.basis) for week in planned} == {(15.0, Basis.PLAN)}
    found = outlook(replace(planting, picks=picks), HERE, date(2026, 6, 21))
    coming_week = found.coming[0]
    assert (coming_week.first, coming_week.basis) == (date(2026, 6, 22), Basis.RECORDS)
    assert (round(coming_week.planned, 1), round(coming_week.amount, 2)) == (15.0, 11.17)
    assert round(14 - coming_week.amount, 2) == 2.83
    assert len(found.coming) == 17
    assert found.room == [Taken("bed", 60.0, stay.from_day, first + timedelta(weeks=20), "Bed 1")]
    assert outlook(replace(planting, picks=picks, cleared=date(2026, 6, 20)), HERE, date(2026, 6, 21)).room == []


def test_kale_that_outlives_its_plan_is_expected_for_another_week():
    stay = Stand("Bed 1", "bed", 1, 60, date(2026, 5, 4))
    picks = tuple(Picked(date(2026, 6, 1) + timedelta(weeks=week), 12.0) for week in range(21))
    found = outlook(
        Planting("K-1", "curly kale", KALE, date(2026, 4, 6), 60, (stay,), picks=picks), HERE, date(2026, 10, 20)
    )
    assert found.notes == [(Note.STILL_PICKED, 1.0)]
    assert [(coming.first, coming.last, coming.amount) for coming in found.coming] == [
        (date(2026, 10, 26), date(2026, 11, 1), pytest.approx(12.0))
    ]
    assert [taken.to_day for taken in found.room] == [date(2026, 11, 2)]


def test_cuttings_follow_each_other_from_the_day_that_was_really_cut():
    stay = Stand("B-1", "bench", 0, 128, SOWN)
    planting = Planting("M-1", "mizuna", MIZUNA, SOWN, 128, (stay,))
    first = 128 * 0.8 * 0.05
    planned = outlook(planting, HERE, date(2026, 5, 10)).coming
    assert [(coming.cutting, coming.first, round(coming.amount, 6)) for coming in planned] == [
        (1, date(2026, 6, 1), round(first, 6)),
        (2, date(2026, 6, 15), round(first * 0.8, 6)),
        (3, date(2026, 6, 29), round(first * 0.6, 6)),
    ]
    cut = replace(planting, picks=(Picked(date(2026, 6, 3), 2.56), Picked(date(2026, 6, 5), 1.28)))
    found = outlook(cut, HERE, date(2026, 6, 10)).coming
    assert [(coming.cutting, coming.first, round(coming.amount, 6), coming.basis) for coming in found] == [
        (2, date(2026, 6, 19), round(first * 0.8 * 0.75, 6), Basis.RECORDS),
        (3, date(2026, 7, 3), round(first * 0.6 * 0.75, 6), Basis.RECORDS),
    ]
    half = replace(planting, picks=(Picked(date(2026, 6, 3), 2.0, 1),))
    assert outlook(half, HERE, date(2026, 6, 4)).coming[0].amount == pytest.approx(first - 2.0)


@pytest.mark.case("G04")
def test_regrowth_promised_in_the_dark_weeks_is_slowed_and_said():
    dark = Place(42.0, 0.5, (11, 7), (2, 4))
    sown = date(2026, 10, 7)
    planting = Planting("M-2", "mizuna", MIZUNA, sown, 128, (Stand("B-1", "bench", 0, 128, sown),))
    found = outlook(planting, dark, date(2026, 10, 12))
    assert [coming.first for coming in found.coming] == [date(2026, 11, 4), date(2026, 11, 29), date(2026, 12, 27)]
    assert found.notes == [(Note.REGROWS_IN_THE_DARK, 25.0), (Note.REGROWS_IN_THE_DARK, 28.0)]


def test_own_plantings_shift_what_is_coming():
    own = Slowness((math.log(1.2),), (0.05,), 4)
    assert outlook(lettuce(stands=(NURSERY,)), HERE, date(2026, 5, 6), own).ready > date(2026, 6, 8)


def test_without_stays_the_schedule_says_where_it_is():
    found = outlook(lettuce(), HERE, date(2026, 5, 25))
    assert found.notes == [(Note.NO_STAYS, 0.0)]
    assert expected(lettuce(), date(2026, 5, 25)) == [(date(2026, 6, 8), date(2026, 6, 17), round(120 * 0.9 * 0.95, 6))]


@given(
    plants=st.integers(1, 300),
    moved=st.integers(0, 40),
    lost=st.integers(0, 400),
    picked=st.floats(0, 400),
    days=st.integers(0, 90),
)
def test_nothing_comes_from_nowhere_and_nothing_comes_back_in_time(plants, moved, lost, picked, days):
    as_of = SOWN + timedelta(days=days)
    moving = SOWN + timedelta(days=moved)
    stands = (Stand("N-1", "nursery", 0, plants, SOWN, moving), Stand("F-1", "channel", 1, plants, moving))
    planting = Planting(
        "P",
        "lettuce",
        LETTUCE,
        SOWN,
        plants,
        stands,
        (Lost(SOWN, lost),),
        (Picked(moving + timedelta(days=21), picked),),
    )
    found = outlook(planting, HERE, as_of)
    assert 0 <= math.fsum(coming.amount for coming in found.coming) <= plants
    assert all(coming.first >= as_of and coming.last >= coming.first for coming in found.coming)
    assert all(taken.places >= 0 and taken.to_day > taken.from_day for taken in found.room)
