"""Ratios of rounds taken in turn."""

import pytest

from farmops.proving.speed.ratios import Row, between_quarters, counted, timed


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


def test_a_count_may_have_to_hold_more_than_its_limit():
    assert counted("queries:a", 12, 15, 1.0, unit="queries") == Row(
        "queries:a", 0.8, None, 1.0, True, 12, 15, "queries"
    )
    assert not counted("queries:a", 16, 15, 1.0, unit="queries").ok
    assert not counted("queries:a", 12, 15, 1.0, unit="queries", also=False).ok
