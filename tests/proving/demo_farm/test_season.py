"""The farm's habits, by hand."""

from datetime import date

import pytest

from farmops.proving.demo_farm.facts import SATURDAY, WEDNESDAY, market_on, price_of
from farmops.proving.demo_farm.season import Season, StallDay, learn, promised, round_number, run, steps_of


@pytest.mark.parametrize(
    ("amount", "brought"), [(0.2, 2), (7.2, 8), (14.9, 14), (15, 15), (22, 20), (23, 25), (48.4, 50)]
)
def test_people_bring_round_numbers(amount, brought):
    assert round_number(amount) == brought


def noted(left: int, times: tuple[int, ...] = ()) -> StallDay:
    return StallDay(
        date(2026, 7, 11), SATURDAY, "cilantro", 20, 0, left, None, times, 0, None, "dry", None, ""
    )  # fmt: skip


@pytest.mark.parametrize(
    ("row", "level"),
    [
        pytest.param(noted(5), 10 + 0.45 * 5, id="sold-15"),
        pytest.param(noted(0), 10 + 0.45 * 13, id="out-time-unknown-8-percent-and-one-more"),
        pytest.param(noted(0, (570,)), 10 + 0.45 * 16, id="out-early-a-quarter-and-one-more"),
        pytest.param(noted(0, (760,)), 10 + 0.45 * 13, id="out-late"),
    ],
)
def test_the_habit_follows_what_sold(row, level):
    season = Season(level={(SATURDAY.name, "cilantro"): 10.0})
    learn(season, row)
    assert season.level == {(SATURDAY.name, "cilantro"): pytest.approx(level)}


def test_an_unknown_leftover_teaches_nothing():
    season = Season(level={(SATURDAY.name, "cilantro"): 10.0})
    learn(season, StallDay(date(2026, 7, 11), SATURDAY, "cilantro", 20, 0, None, None, (), 0, None, "", None, ""))
    assert season.level == {(SATURDAY.name, "cilantro"): 10.0}


def test_promises_of_a_summer_tuesday_and_friday():
    tuesday, friday = promised(date(2026, 7, 7)), promised(date(2026, 7, 10))
    assert tuesday == [
        ("butterhead lettuce", 18), ("salad mix loose", 12), ("flat-leaf parsley", 6), ("butterhead lettuce", 24),
        ("salad mix bag", 24), ("curly kale", 24), ("rainbow chard", 24), ("flat-leaf parsley", 24),
        ("red oakleaf lettuce", 16), ("salad mix bag", 16), ("cilantro", 16),
    ]  # fmt: skip
    assert len(friday) == 6
    assert promised(date(2026, 12, 22)) == [("butterhead lettuce", 18), ("salad mix loose", 12)]


def test_a_bag_takes_its_weight_and_what_washing_loses():
    # 150 g are 0.330693 lb; 92 of 100 are left after washing.
    assert steps_of("salad mix bag") == pytest.approx(0.330693 / 0.92, rel=1e-5)
    assert (steps_of("salad mix loose"), steps_of("curly kale")) == (pytest.approx(0.25 / 0.92), 1.0)


def test_market_days_and_prices():
    assert market_on(date(2026, 7, 4)) is None  # holiday
    assert (market_on(date(2026, 9, 9)), market_on(date(2026, 9, 12))) == (WEDNESDAY, SATURDAY)
    assert market_on(date(2026, 11, 4)) is None
    assert (price_of("salad mix bag", date(2026, 6, 16)), price_of("salad mix bag", date(2026, 6, 17))) == (
        "5.00",
        "5.50",
    )


def test_every_run_is_the_same(season):
    again = run()
    assert again.stall == season.stall
    assert again.truth == season.truth
    assert again.greenhouse.picks == season.greenhouse.picks
