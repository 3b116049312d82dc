"""Places by day: stays that touch, clash or end early, and plantings that must wait."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.room import Clash, DuePlanting, Stay, clashes, free, most_each_time, moves_as_room_comes, taken

FIRST = Stay("crop 1", 18, date(2026, 9, 1), date(2026, 9, 29))
CHANNEL = [(date.min, 18.0)]


@pytest.mark.case("G07")
def test_the_next_crop_may_come_in_on_the_day_the_last_goes_out():
    # highmowingseeds.com crop talk, cherthollowfarm.com 2009/07; our numbers.
    early, on_the_day = Stay("crop 2", 18, date(2026, 9, 28)), Stay("crop 2", 18, date(2026, 9, 29))
    assert clashes(CHANNEL, [FIRST, early]) == [Clash(date(2026, 9, 28), date(2026, 9, 29), 18.0, ("crop 1", "crop 2"))]
    assert clashes(CHANNEL, [FIRST, on_the_day]) == []


@pytest.mark.case("G07")
def test_clearing_early_ends_the_clash_and_frees_the_days():
    cleared = Stay("crop 1", 18, date(2026, 9, 1), date(2026, 9, 25))
    early = Stay("crop 2", 18, date(2026, 9, 28))
    assert clashes(CHANNEL, [cleared, early]) == []
    later = Stay("crop 2", 18, date(2026, 9, 29))
    days = [date(2026, 9, 24) + timedelta(days=number) for number in range(6)]
    assert [free(18, [cleared, later], day) for day in days] == [0, 18, 18, 18, 18, 0]


@pytest.mark.case("G07")
def test_half_a_channel_can_be_free():
    assert free(18, [Stay("P-1", 12, date(2026, 9, 1))], date(2026, 9, 2)) == 6
    assert clashes(CHANNEL, [Stay("P-1", 12, date(2026, 9, 1)), Stay("P-2", 6, date(2026, 9, 3))]) == []


@pytest.mark.case("G08")
def test_what_does_not_fit_waits_and_the_next_waits_too():
    # producegrower.com "Utilizing a nursery for hydroponic production"; our numbers: 20 channels of 18 holes,
    # 120 plants a week, 21 days in finishing, from October 28 days, nursery room for one planting more.
    places, october = 20 * 18, date(2026, 10, 5)
    due = [DuePlanting(f"week {number}", october + timedelta(weeks=number), 120, 28) for number in range(5)]
    steady = [Stay(planting.key, 120, planting.due, planting.due + timedelta(days=21)) for planting in due]
    assert clashes([(date.min, places)], steady) == []
    slow = [Stay(planting.key, 120, planting.due, planting.due + timedelta(days=28)) for planting in due]
    assert {clash.over for clash in clashes([(date.min, places)], slow)} == {120.0}
    moves = moves_as_room_comes(due, places)
    assert [move.days_late for move in moves] == [0, 0, 0, 7, 7]
    fourth = moves[3]
    assert (fourth.due, fourth.moved) == (date(2026, 10, 26), date(2026, 11, 2))
    assert fourth.ready == date(2026, 10, 26) + timedelta(days=28 + 7)
    assert most_each_time(places, 21) == 120
    assert most_each_time(places, 28) == 90


some_stays = st.builds(
    lambda key, places, start, days: Stay(
        key, places, date(2026, 1, 1) + timedelta(days=start), date(2026, 1, 1) + timedelta(days=start + days)
    ),
    st.text("abc", min_size=1, max_size=2),
    st.integers(0, 30),
    st.integers(0, 40),
    st.integers(1, 20),
)


@given(st.lists(some_stays, max_size=8), st.integers(0, 60))
def test_clashes_are_the_days_on_which_more_is_taken_than_there_is(some, places):
    found = clashes([(date.min, places)], some)
    for number in range(70):
        day = date(2026, 1, 1) + timedelta(days=number)
        over = [clash.over for clash in found if clash.from_day <= day < clash.to_day]
        excess = taken(some, day) - places
        assert over == ([excess] if excess > 0 else [])


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(1, 20), st.integers(1, 20)), max_size=7), st.integers(20, 40))
def test_plantings_that_wait_never_overfill_and_never_move_early(some, places):
    due = [
        DuePlanting(f"b{number}", date(2026, 1, 1) + timedelta(days=start), size, days)
        for number, (start, size, days) in enumerate(some)
    ]
    sizes = {planting.key: planting.places for planting in due}
    moves = moves_as_room_comes(due, places)
    assert (
        clashes([(date.min, places)], [Stay(move.key, sizes[move.key], move.moved, move.ready) for move in moves]) == []
    )
    assert all(move.days_late >= 0 for move in moves)


def test_a_planting_larger_than_the_room_is_refused():
    with pytest.raises(ValueError, match="needs 40 places, there are 30"):
        moves_as_room_comes([DuePlanting("b", date(2026, 1, 1), 40, 7)], 30)
