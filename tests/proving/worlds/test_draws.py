from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.proving.worlds import WORLDS
from farmops.proving.worlds.draws import BOOK, draw_season, dry_mean, season_factor
from farmops.proving.worlds.parts import Item, Market, Season, World

EVEN = ((1.0, 1.0, 1.0),)
PLAIN = World(
    name="plain",
    story="",
    starts=date(2025, 4, 7),
    markets=(Market("Saturday", 5, 480, 780, EVEN, 1.0, 0.5),),
    items=(Item("basil", "herbs", 20, 3.0, 1.0), Item("kale", "leaves", 30, 3.0, 1.0, two_pieces=0.25)),
    day_spread=20,
    item_spread=10,
    walk=0.0,
    rain_chance=0.0,
    called_off=0.0,
)


@given(peak=st.floats(0, 51), week=st.floats(0, 51), floor=st.floats(0.1, 1))
def test_the_season_is_one_at_its_peak_and_stays_above_its_floor(peak, week, floor):
    season = Season(peak, 5, 9, floor)
    assert season_factor(season, peak) == pytest.approx(1)
    assert floor - 1e-12 <= season_factor(season, week) <= 1
    assert season_factor(season, week) == pytest.approx(season_factor(season, week + 52))


def test_the_season_is_skewed():
    season = Season(20, 4, 8, 0.2)
    # by hand: 0.2 + 0.8 exp(-0.5) one width away on either side
    assert season_factor(season, 16) == pytest.approx(0.2 + 0.8 * np.exp(-0.5))
    assert season_factor(season, 28) == pytest.approx(0.2 + 0.8 * np.exp(-0.5))
    assert season_factor(season, 16) < season_factor(season, 24)


def test_the_mean_follows_price_and_drift():
    item = Item("basil", "herbs", 20, 2.0, 1.0, drift=0.01, elasticity=-1.0)
    # by hand: 20 * e^(0.01 * 60 (1 - e^(-10 / 60))) * (1.0 / 2.0)^-1
    mean = dry_mean(PLAIN, PLAIN.markets[0], item, date(2025, 6, 14), 10, 1.0, 0.0)
    assert mean == pytest.approx(20 * np.exp(0.6 * (1 - np.exp(-1 / 6))) * 2)


def test_the_book_has_the_mean_and_spread_of_two_gammas_and_a_poisson():
    books = np.concatenate([[day.items[0].book for day in draw_season(PLAIN, 1, 0, tuple(range(40))).days]]).ravel()
    # by hand: mean 20; variance m + m² ((1 + 1/20)(1 + 1/10) - 1) = 20 + 400 * 0.155 = 82
    error = np.sqrt(82 / books.size)
    assert books.mean() == pytest.approx(20, abs=4 * error)
    assert books.var() == pytest.approx(82, rel=0.03)


def test_without_shared_luck_the_book_has_the_spread_of_one_gamma():
    days = draw_season(replace(PLAIN, day_spread=None), 1, 0, tuple(range(40))).days
    books = np.concatenate([day.items[0].book for day in days])
    # by hand: mean 20; variance 20 + 400 / 10 = 60
    assert books.mean() == pytest.approx(20, abs=4 * np.sqrt(60 / books.size))
    assert books.var() == pytest.approx(60, rel=0.03)


def test_two_pieces_raise_the_mean_by_their_share():
    books = [day.items[1].mean for day in draw_season(PLAIN, 1, 0, tuple(range(40))).days]
    assert np.mean(books) == pytest.approx(30 * 1.25, rel=0.01)


@pytest.mark.parametrize("name", ["summer_guests", "rainy_coast", "two_waves"])
def test_the_customers_follow_the_book(name):
    """Ranks of the drawn demand among the book's draws are even, whatever made the demand."""
    ranks = []
    for season in range(3):
        for day in draw_season(WORLDS[name], 5, season, tuple(range(40))).days:
            for item in day.items:
                wanted = item.pieces.sum()
                below, upto = np.searchsorted(item.book, [wanted, wanted + 1])
                ranks.append((below + upto) / 2 / BOOK)
    # Days share a factor, so the ranks of a day hang together: at most one independent rank for each of 240 days.
    assert np.mean(ranks) == pytest.approx(0.5, abs=4 * np.sqrt(1 / 12 / 240))
    assert np.quantile(ranks, [0.1, 0.9]) == pytest.approx([0.1, 0.9], abs=0.06)


def test_a_season_is_the_same_again_and_another_number_is_another_season():
    weeks = tuple(range(3))
    first, again, other = (draw_season(WORLDS["town_square"], 1, number, weeks) for number in (0, 0, 1))
    assert [day.items[0].times.tolist() for day in first.days] == [day.items[0].times.tolist() for day in again.days]
    assert [day.items[0].times.tolist() for day in first.days] != [day.items[0].times.tolist() for day in other.days]
    assert first.guesses == again.guesses


def test_weeks_left_out_have_no_market_and_dates_go_on():
    draw = draw_season(PLAIN, 1, 0, (0, 52))
    assert [day.day for day in draw.days] == [date(2025, 4, 12), date(2026, 4, 11)]


def test_who_packs_up_early_serves_nobody_after():
    world = replace(PLAIN, rain_chance=1.0, leaves_early=1.0)
    for day in draw_season(world, 1, 0, tuple(range(10))).days:
        assert day.leaves < 0.85
        assert all((item.times <= day.leaves).all() for item in day.items)
        assert day.items[0].mean < 20 * 0.5 * 0.85


def test_a_guess_is_about_usual_weather_and_sometimes_missing():
    world = replace(PLAIN, rain_chance=0.4, guess_error=0.0, guess_missing=0.0)
    # by hand: 0.4 rain halves: 20 * 0.8; with pairs 30 * 0.8 * 1.25
    assert draw_season(world, 1, 0, (0, 1)).guesses == {("Saturday", "basil"): 16.0, ("Saturday", "kale"): 30.0}
    assert set(draw_season(replace(world, guess_missing=1.0), 1, 0, (0, 1)).guesses.values()) == {None}
