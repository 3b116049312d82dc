"""One item at the stall, by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.proving.demo_farm.stall import Sold, sell

EVERY_TEN_MINUTES = [(480.0 + 10 * step, 1) for step in range(30)]


def test_enough_on_the_table_sells_to_everybody():
    assert sell(EVERY_TEN_MINUTES, 32, 0, 35) == Sold(30, 2, (), None, 0)


def test_an_empty_table_turns_the_rest_away():
    assert sell(EVERY_TEN_MINUTES, 12, 0, 35) == Sold(12, 0, (590.0,), None, 18)


def test_a_pair_takes_what_is_left_of_it():
    assert sell([(500.0, 2), (510.0, 2), (520.0, 1)], 3, 0, 35) == Sold(3, 0, (510.0,), None, 2)


def test_the_van_is_fetched_once_and_may_run_out_too():
    # 10 gone at 9:30; the van's 5 are on the table at 10:05, so that 9:40, 9:50, 10:00 go away; gone again at 10:50.
    assert sell(EVERY_TEN_MINUTES, 10, 5, 35) == Sold(15, 0, (570.0, 650.0), 605.0, 15)


def test_what_stayed_in_the_van_comes_back():
    assert sell(EVERY_TEN_MINUTES[:5], 8, 6, 35) == Sold(5, 9, (), None, 0)


@given(
    crowd=st.lists(st.tuples(st.floats(480, 780), st.integers(1, 2)), max_size=60).map(sorted),
    on_table=st.integers(0, 40),
    in_van=st.integers(0, 20),
    fetch=st.floats(1, 90),
)
def test_what_was_brought_is_sold_or_left_and_every_wish_is_met_or_turned_away(crowd, on_table, in_van, fetch):
    done = sell(crowd, on_table, in_van, fetch)
    assert (done.sold + done.left, done.sold + done.turned_away) == (
        on_table + in_van,
        sum(wish for _minute, wish in crowd),
    )
    assert done.left >= 0


@pytest.mark.parametrize("in_van", [0, 7])
def test_nobody_comes(in_van):
    assert sell([], 4, in_van, 35) == Sold(0, 4 + in_van, (), None, 0)
