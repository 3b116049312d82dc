"""The worlds drawn by rule keep to their ranges, hold what they are said to hold, and are never drawn anew."""

from dataclasses import replace
from hashlib import sha256

import numpy as np
import pytest

from farmops.proving.worlds import FRESH, WORLDS
from farmops.proving.worlds.arrivals import share_come
from farmops.proving.worlds.draws import draw_season
from farmops.proving.worlds.fresh import (
    CALLED_OFF,
    CARRY_LOSS,
    CROPS,
    FORGOTTEN,
    ITEM_SPREAD,
    PAIRS,
    PRICE_MOVES,
    RAIN_CHANCE,
    WALK,
    fresh_worlds,
)
from farmops.proving.worlds.parts import World

PLAIN = World("plain", "", FRESH["fresh_1"].starts, (), ())
# Of all parameters, taken before the product was tried here. Whoever changes it makes other worlds, whose results the
# old ones cannot be held against.
FINGERPRINT = "e7d4dc0fc2f50c3468515ffd2fa35c3327de068fb6744b713192d0cf81496c98"


def test_the_worlds_are_those_first_drawn():
    assert sha256(repr(fresh_worlds()).encode()).hexdigest() == FINGERPRINT
    assert list(FRESH) == [f"fresh_{number}" for number in range(1, 14)]
    assert not set(FRESH) & set(WORLDS)


@pytest.mark.parametrize("world", FRESH.values(), ids=FRESH)
def test_nothing_makes_a_drawn_market_hard_but_what_is_said(world):
    told = ("item_spread", "walk", "rain_chance", "weather_told", "called_off", "forgotten", "price_moves")
    same = {key: getattr(world, key) for key in (*told, "name", "story", "starts", "markets", "items")}
    # no shared luck, swapping, leaving early, special weeks; weather and quarter hours noted; guesses as elsewhere
    assert world == replace(PLAIN, day_spread=None, **same)
    assert [item.name for item in world.items if item.also_takes] == []


@pytest.mark.parametrize("world", FRESH.values(), ids=FRESH)
def test_a_drawn_world_keeps_to_its_ranges(world):
    pairs = [(ITEM_SPREAD, world.item_spread), (WALK, world.walk), (RAIN_CHANCE, world.rain_chance)]
    pairs += [(CALLED_OFF, world.called_off), (FORGOTTEN, world.forgotten)]
    pairs += [(PRICE_MOVES, world.price_moves)] if world.price_moves else []
    for item in world.items:
        pairs += [(PAIRS, item.two_pieces)] if item.two_pieces else []
        pairs += [(CARRY_LOSS, item.carry_loss)] if item.shelf_markets == 2 else []
        assert item.season.rise != item.season.fall
    assert [(ends, value) for ends, value in pairs if not ends[0] <= value <= ends[1]] == []
    keeping = {crop[0] for crop in CROPS if crop[5]}
    assert {item.name for item in world.items if item.shelf_markets == 2} <= keeping


def test_each_hardship_hits_as_many_worlds_as_it_should():
    worlds = FRESH.values()
    assert sum(not world.weather_told for world in worlds) == 3
    assert sum(world.items[0].drift > 0 for world in worlds) == 2
    assert sum(world.items[0].drift < 0 for world in worlds) == 2
    assert sum(world.price_moves > 0 for world in worlds) == 4
    assert sum(all(item.two_pieces for item in world.items) for world in worlds) == 5
    assert sum(any(item.shelf_markets == 2 for item in world.items) for world in worlds) == 4


def test_customers_come_early_evenly_and_late():
    middle = np.array([0.5])
    half = sorted(float(share_come(market, middle)[0]) for world in FRESH.values() for market in world.markets)
    # scipy.stats.beta.cdf(.5): of the early rush .86 come in the first half, of the late crowd .18
    assert half[0] < 0.25
    assert half[-1] > 0.75
    assert any(0.45 < share < 0.55 for share in half)


def test_items_of_a_drawn_market_share_no_luck():
    """Standardised demands of a dry day hang together only by chance."""
    world = FRESH["fresh_12"]
    days = [draw_season(world, 1, number, tuple(range(40))).days for number in range(3)]
    table = np.array([[item.pieces.sum() / item.mean - 1 for item in day.items] for part in days for day in part])
    between = np.corrcoef(table.T)[np.triu_indices(len(world.items), 1)]
    # about 330 days and 55 pairs: the mean of as many sample correlations has a standard error below 0.0075
    assert between.mean() == pytest.approx(0, abs=0.03)
