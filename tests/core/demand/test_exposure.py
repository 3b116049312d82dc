"""From a notebook row to spells on the table."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from farmops.core.demand import MarketRecord, count_check, even_rate_stretch, on_table, plain_means
from farmops.core.demand.exposure import EARLIEST, LEAST_EXPOSURE, day_arrays, day_seen, with_early_leaving
from farmops.core.demand.profile import DEFAULT_PROFILE, GRID, coverage, kumaraswamy_share

EVEN = np.full(20, 1 / 20)
DAY = date(2026, 5, 2)
# Sold, brought, minute of 300 at which it ran out.
SIX_DAYS = [(20, 30, None), (18, 18, 150), (24, 30, None), (15, 15, 120), (22, 30, None), (16, 16, 180)]


def record(**changes) -> MarketRecord:
    return replace(MarketRecord(DAY, "Saturday", "basil", brought=30, sold=30, left=0), **changes)


def exposure(one: MarketRecord, bins: np.ndarray = EVEN) -> float:
    return float(day_arrays([day_seen(one)]).exposure(bins)[0])


@pytest.mark.oracle("O42")
def test_two_spells_add_up():
    # Derived: on the table 0-60 and 120-300 of 300 minutes, even arrivals; 8 then 14 sold, not sold out.
    one = record(brought=30, restocks=((600, 22),), ran_out_at=(540,), sold=22, left=8)
    assert exposure(one) == pytest.approx(0.8, abs=1e-12)
    assert 22 / exposure(one) == pytest.approx(27.5, abs=1e-9)
    assert not day_seen(one).ran_out


@pytest.mark.oracle("O40")
def test_default_profile_at_three_times():
    # Derived: G(.5), G(.4), G(.6) for a 1.2, b 1.5, and the estimate of six days: 115 sold in the shares of the days.
    shares = kumaraswamy_share([0.5, 0.4, 0.6], 1.2, 1.5)
    np.testing.assert_allclose(shares, [0.57562, 0.45529, 0.68977], atol=5e-6)
    come = coverage(np.zeros(3), np.array([0.5, 0.4, 0.6])) @ DEFAULT_PROFILE.bins
    np.testing.assert_allclose(come, shares, atol=1e-12)
    assert 115 / (3 + float(shares.sum())) == pytest.approx(24.3609, abs=1e-4)
    days = [
        record(sold=sold, brought=brought, left=brought - sold, ran_out_at=() if at is None else (480 + at,))
        for sold, brought, at in SIX_DAYS
    ]
    arrays = day_arrays([day_seen(one) for one in days])
    total = float(arrays.exposure(DEFAULT_PROFILE.bins).sum())
    assert float(arrays.sold.sum()) / total == pytest.approx(24.3609, abs=1e-4)


@pytest.mark.oracle("O37", "O38", "O39")
def test_three_plain_ways_to_average_six_days():
    # Derived: sales alone 19.1667, days that did not run out 22, even arrivals 115/4.5.
    days = [
        record(sold=sold, brought=brought, left=brought - sold, ran_out_at=() if at is None else (480 + at,))
        for sold, brought, at in SIX_DAYS
    ]
    means = plain_means(days)
    assert means is not None
    assert means.sold == pytest.approx(19.1667, abs=1e-4)
    kept = plain_means([one for one in days if not one.ran_out_at])
    assert kept is not None
    assert kept.sold == 22.0
    arrays = day_arrays([day_seen(one) for one in days])
    assert float(arrays.sold.sum() / arrays.exposure(EVEN).sum()) == pytest.approx(25.5556, abs=1e-4)


@pytest.mark.case("M01")
def test_sold_out_at_eleven_forty():
    # Our numbers; the situation is a grower's account (tinyfarmblog).
    days = [
        record(brought=48, sold=48, ran_out_at=(700,)),
        record(brought=55, sold=55, ran_out_at=(770,)),
        record(brought=60, sold=52, left=8),
    ]
    assert [round(even_rate_stretch(one) or 0, 1) for one in days] == [65.5, 56.9, 52.0]
    means = plain_means(days)
    assert means is not None
    assert round(means.stretched, 1) == 58.1
    assert round(means.sold, 1) == 51.7
    assert (means.ran_out, means.days) == (2, 3)


@pytest.mark.case("M02")
def test_brought_none_rain_and_called_off():
    # (a) a day with nothing brought is no market day of the item; (b) with and without the rain day; (c) no record.
    offered = plain_means([record(brought=40, sold=40), record(brought=0, sold=0), record(brought=40, sold=36, left=4)])
    assert offered is not None
    assert (offered.sold, offered.days) == (38.0, 2)
    assert not day_seen(record(brought=0, sold=0)).tells
    rainy = plain_means(
        [
            record(brought=60, sold=sold, left=60 - sold, weather=weather)
            for sold, weather in [(44, "dry"), (46, "dry"), (22, "rain"), (45, "dry")]
        ]
    )
    assert rainy is not None
    assert rainy.sold == 39.25
    assert rainy.sold_not_raining == 45.0
    assert plain_means([]) is None


@pytest.mark.case("M03")
def test_restocked_in_the_middle():
    # 30 at 8:00, none left 9:30, +20 at 10:15, 6 left at 13:00 (our numbers).
    one = record(brought=50, restocks=((615, 20),), ran_out_at=(570,), sold=None, left=6)
    day = on_table(one)
    assert (day.sold, day.sell_through, day.first_ran_out_at) == (44, 0.88, 570)
    assert day.minutes_out == pytest.approx(45.0)
    assert even_rate_stretch(one) == pytest.approx(51.8, abs=0.05)
    assert [(spell.stock, spell.is_emptied) for spell in day_seen(one).spells] == [(30, True), (20, False)]


@pytest.mark.case("M07")
def test_two_sellers_and_an_unknown_time():
    # Seller 1 tally 18, seller 2 tally 15, brought 40, 4 left; another item 25 of 25, time unknown (our numbers).
    check = count_check(brought=40, left=4, tallies=[18, 15])
    assert (check.by_count, check.by_tally, check.not_tallied) == (36, 33, 3)
    unknown = record(brought=25, sold=25, left=0, ran_out=True)
    assert even_rate_stretch(unknown) == 25.0
    assert on_table(unknown).is_time_unknown
    assert day_seen(unknown).is_untimed


def test_sold_out_at_closing_is_a_full_day():
    day = day_seen(record(ran_out=True, ran_out_at=(780,)))
    assert (day.ran_out, day.is_untimed) == (False, False)
    assert exposure(day.record) == pytest.approx(1.0, abs=1e-12)


def test_gone_in_the_first_minutes_has_a_floor():
    assert exposure(record(ran_out_at=(482,))) == LEAST_EXPOSURE
    assert day_seen(record(ran_out_at=(480,))).spells[0].stop == EARLIEST


def test_left_early_is_no_sell_out():
    day = day_seen(record(sold=20, left=10, left_at=660))
    assert (day.ran_out, day.last) == (False, 0.6)
    assert exposure(day.record) == pytest.approx(0.6)


def test_a_rare_early_closing_counts_as_left_early():
    usual = [record(day=date(2026, 5, 2 + week), sold=20, left=10) for week in range(0, 28, 7)]
    short = record(day=date(2026, 6, 6), closes=660, sold=9, left=21)
    winter = [replace(one, closes=660) for one in usual[:2]]
    assert with_early_leaving([*usual, short])[-1] == replace(short, closes=780, left_at=660)
    assert with_early_leaving([*usual[2:], *winter]) == [*usual[2:], *winter]


def test_refilled_without_a_note():
    something_left = record(brought=50, sold=44, left=6, ran_out_at=(570,))
    assert exposure(something_left) == pytest.approx(1.0, abs=1e-12)
    twice = record(ran_out=True, ran_out_at=(570, 660))
    assert [spell.stop for spell in day_seen(twice).spells] == [pytest.approx(0.6)]


def test_real_zero_and_unknown_are_not_the_same():
    assert day_seen(record(brought=20, sold=0, left=20)).tells
    assert not day_seen(record(brought=20, sold=None, left=None)).tells


def test_all_put_out_later_starts_later():
    late = record(brought=20, restocks=((600, 20),), sold=12, left=8)
    assert exposure(late) == pytest.approx(0.6)


@pytest.mark.parametrize("wrong", [{"closes": 480}, {"brought": -1}])
def test_impossible_rows_are_refused(wrong):
    with pytest.raises(ValueError, match="must"):
        day_seen(record(**wrong))


def test_profile_bins_add_up():
    assert float(DEFAULT_PROFILE.bins.sum()) == pytest.approx(1.0, abs=1e-12)
    come = coverage(np.zeros(GRID.size), GRID) @ DEFAULT_PROFILE.bins
    np.testing.assert_allclose(come, kumaraswamy_share(GRID, 1.2, 1.5), atol=1e-12)
