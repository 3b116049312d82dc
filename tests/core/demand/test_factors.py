"""The columns of the demand table: what stands where, and what has none."""

from datetime import date, timedelta

import numpy as np
import pytest

from farmops.core.demand.exposure import day_seen
from farmops.core.demand.factors import (
    Cell,
    cell_of,
    columns,
    layout_of,
    priors_of,
    season_columns,
    with_wander,
)
from tests.core.demand.notebooks import FIRST, row

DAYS = [
    day_seen(row(0, "basil", brought=20, sold=10, left=10, price=2.0, weather="rain")),
    day_seen(row(3, "basil", brought=20, sold=10, left=10, price=4.0, weather="dry")),
    day_seen(row(3, "chard", brought=20, sold=10, left=10)),
]
LAYOUT = layout_of(DAYS, [("Wednesday", "mint", "teas")])


def test_the_layout_holds_what_was_seen_and_what_is_asked_for():
    assert (LAYOUT.items, LAYOUT.markets, LAYOUT.categories) == (
        ("basil", "chard", "mint"),
        ("Saturday", "Wednesday"),
        ("herbs", "teas"),
    )
    assert (LAYOUT.usual_price, LAYOUT.weeks, LAYOUT.last) == ({"basil": 3.0}, 3.0, FIRST + timedelta(weeks=3))
    # One rainy market day of two known ones, beside one in four of eight days.
    assert LAYOUT.rain_share == pytest.approx((1 + 2) / (2 + 8))
    # Three weeks reach into the stretches 0-2 and 2-4 weeks before the last record.
    assert LAYOUT.gaps.tolist() == [2.0, 2.0]


def test_a_cell_has_rain_and_the_price_against_the_usual_one():
    wet, dry, unknown = (cell_of(day, LAYOUT) for day in DAYS)
    assert [cell.rain for cell in (wet, dry, unknown)] == [1.0, 0.0, LAYOUT.rain_share]
    assert [cell.log_price for cell in (wet, dry, unknown)] == pytest.approx([np.log(2 / 3), np.log(4 / 3), 0.0])


def test_each_column_stands_where_the_layout_says():
    own, shared = columns([cell_of(DAYS[0], LAYOUT)], LAYOUT)
    season = season_columns([FIRST])[0]
    # level, two markets, season, wandering: three weeks old, all of the first stretch ago and half of the second.
    assert own[0] == pytest.approx([1, 1, 0, *season, 0.0, 0.5])
    # farm, two markets, two categories, their seasons, wandering, rain, price
    assert shared[0] == pytest.approx([1, 1, 0, 1, 0, *season, 0, 0, 0, 0, 0.0, 0.5, 1.0, np.log(2 / 3)])


def test_a_market_and_a_category_nobody_knows_get_no_column():
    own, shared = columns([Cell(FIRST, "Fair", "dill", "spices", 0.0, 0.0)], LAYOUT)
    assert own[0, 1:3].tolist() == [0.0, 0.0]
    assert shared[0, 1:13].tolist() == [0.0] * 12


def test_a_guess_of_the_usual_demand_has_no_season_rain_or_price():
    own, shared = columns([Cell(FIRST, "Saturday", "basil", "herbs", 1.0, 0.4, is_usual=True)], LAYOUT)
    assert own[0, 3:7].tolist() == [0.0] * 4
    assert (shared[0, 5:13].tolist(), shared[0, -2:].tolist()) == ([0.0] * 8, [0.0, 0.0])


def test_the_season_comes_round_after_a_year_in_two_harmonics():
    day = date(2026, 7, 2)  # the 183rd day, half a year
    angle = 2 * np.pi * 183 / 365.25
    expected = [np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)]
    assert season_columns([day])[0] == pytest.approx(expected)


def test_priors_have_one_spread_for_each_column_and_wandering_grows_with_time():
    priors = priors_of(LAYOUT, 2.5)
    assert (priors.own_sd.shape, priors.shared_sd.shape) == ((LAYOUT.item_width,), (LAYOUT.shared_width,))
    assert (priors.shared_mean[0], priors.shared_mean[1:-2].tolist()) == (2.5, [0.0] * (LAYOUT.shared_width - 3))
    other = with_wander(priors, LAYOUT, 0.1, 0.2)
    assert other.shared_sd[LAYOUT.shared_wander] == pytest.approx(0.1 * np.sqrt([2, 2]))
    assert other.own_sd[LAYOUT.own_wander] == pytest.approx(0.2 * np.sqrt([2, 2]))
    assert other.own_sd[:-2].tolist() == priors.own_sd[:-2].tolist()
