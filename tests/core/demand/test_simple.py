"""The fall-back, worked out by hand."""

from dataclasses import replace
from datetime import timedelta

import pytest

from farmops.core.demand.exposure import day_seen
from farmops.core.demand.simple import simple_means
from tests.core.demand.notebooks import NEXT, row, similar_items


def test_one_full_day_leans_on_itself_when_nothing_else_is_known():
    # One item alone: its own rate is all there is, so the prior pulls nowhere.
    means = simple_means([day_seen(row(0, brought=30, sold=20, left=10))], NEXT)
    assert means.mean["basil"] == pytest.approx(20.0)
    assert means.forecast("Saturday", "basil", "herbs", 0.0)[0] == pytest.approx(20.0)


def test_weights_by_hand():
    """Twenty weeks of 20 for its likes, one day of 30: (1/.49 + 30 w) / (1/(.49 m0) + w), w = 8/(8 + mean)."""
    days = [day_seen(replace(one, sold=20, left=25)) for one in similar_items(6)]
    days.append(day_seen(replace(row(9, brought=40, sold=30, left=10), day=NEXT)))
    means = simple_means(days, NEXT)
    mean = means.mean["basil"]
    alike = means.category_mean["herbs"]
    weight = 8 / (8 + mean)
    assert mean == pytest.approx((1 / 0.49 + 30 * weight) / (1 / (0.49 * alike) + weight), rel=0.01)
    assert 20 < mean < 30


def test_unknown_time_counts_as_four_fifths_of_a_day():
    own = day_seen(row(0, brought=16, sold=16, left=0, ran_out=True))
    assert simple_means([own], NEXT).mean["basil"] == pytest.approx(20.0)


def test_markets_and_rain_have_ratios():
    days = []
    for week in range(20):
        for market, sold in (("Saturday", 30), ("Wednesday", 15)):
            wet = week % 2 == 0
            count = sold // 2 if wet else sold
            one = row(week, brought=40, sold=count, left=40 - count, weather="rain" if wet else "dry")
            days.append(day_seen(replace(one, market=market, day=one.day + timedelta(days=len(market)))))
    means = simple_means(days, NEXT + timedelta(weeks=10))
    assert means.market_ratio["Saturday"] / means.market_ratio["Wednesday"] == pytest.approx(2.0, rel=0.05)
    assert means.rain_ratio == pytest.approx(0.5, rel=0.05)
    dry, wet = (means.forecast("Saturday", "basil", "herbs", chance)[0] for chance in (0.0, 1.0))
    assert wet / dry == pytest.approx(means.rain_ratio)


def test_nothing_known():
    assert simple_means([], NEXT).forecast("Saturday", "basil", "", 0.0) == (10.0, 0.7)
