"""Ratios of rounds taken in turn."""

import pytest

from farmops.proving.speed.ratios import Row, between_quarters, counted, quietest, timed


def test_the_ratio_is_of_the_medians_and_held_to_its_limit():
    row = timed("years:a page", [2.0, 9.0, 2.2], [2.0, 2.0, 2.0], 1.15)
    assert row == Row("years:a page", pytest.approx(1.1), pytest.approx(1.75), 1.15, True, 2.2, 2.0, "s")
    assert not timed("years:a page", [2.4], [2.0], 1.15).ok
    assert timed("years:a page", [2.4], [2.0], None).ok


# By hand: ratios 1, 2, 3, 4, 5; the quarters lie at 2 and 4.
def test_the_spread_is_between_the_quarters_of_the_rounds():
    assert between_quarters([5.0, 1.0, 4.0, 2.0, 3.0], [1.0] * 5) == 2.0
    assert between_quarters([3.0], [1.0]) == 0.0


@pytest.mark.parametrize(
    ("above", "below", "words"),
    [([], [], "0 and 0"), ([1.0], [1.0, 2.0], "1 and 2"), ([1.0], [0.0], "against nothing")],
)
def test_rounds_that_cannot_be_held_against_each_other(above, below, words):
    with pytest.raises(ValueError, match=words):
        timed("a", above, below, 1.0)


# By hand: least 8 less least 2 over least 3; of the five blocks (8-2)/3, (9-3)/3, (11-3)/4, (11-2)/3, (9-3)/3.
def test_waits_for_a_disk_are_held_against_each_other_at_their_least():
    above, less, below = (
        [8.0, 9.0, 11.0, 11.0, 9.0, 20.0],
        [2.0, 3.0, 3.0, 2.0, 3.0, 9.0],
        [3.0, 3.0, 4.0, 3.0, 3.0, 8.0],
    )
    assert quietest("post:a", above, less, below, 3.0) == Row("post:a", 2.0, 0.0, 3.0, True, 6.0, 3.0, "s")
    assert not quietest("post:a", above, less, below, 1.9).ok
    assert quietest("post:a", [1.0] * 5, [2.0] * 5, [3.0] * 5, 3.0).ratio == 0
    with pytest.raises(ValueError, match="5 rounds or more, got 1"):
        quietest("post:a", [1.0], [1.0], [1.0], 3.0)


def test_a_count_may_have_to_hold_more_than_its_limit():
    assert counted("queries:a", 12, 15, 1.0, unit="queries") == Row(
        "queries:a", 0.8, None, 1.0, True, 12, 15, "queries"
    )
    assert not counted("queries:a", 16, 15, 1.0, unit="queries").ok
    assert not counted("queries:a", 12, 15, 1.0, unit="queries", also=False).ok
