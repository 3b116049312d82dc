from dataclasses import replace
from datetime import date

import pytest

from farmops.proving.worlds import FRESH, WORLDS

START = date(2025, 1, 6)


def test_thirteen_unlike_worlds():
    assert len(WORLDS) == 13
    assert all(name == world.name for name, world in WORLDS.items())
    assert len({repr((world.markets, world.items)) for world in WORLDS.values()}) == 13
    stalls = [replace(world, name="", story="", starts=START, markets=(), items=()) for world in WORLDS.values()]
    assert len({repr(one) for one in stalls}) >= 8


def test_the_drawn_worlds_are_as_many_and_unlike():
    assert len(FRESH) == 13
    assert len({repr((world.markets, world.items)) for world in FRESH.values()}) == 13


@pytest.mark.parametrize("world", [*WORLDS.values(), *FRESH.values()], ids=[*WORLDS, *FRESH])
def test_a_world_is_a_possible_market_stall(world):
    names = [item.name for item in world.items]
    assert len(set(names)) == len(names)
    assert 6 <= len(names) <= 12
    assert 1 <= len(world.markets) <= 3
    assert len({market.weekday for market in world.markets}) == len(world.markets)
    assert 2 <= len({item.category for item in world.items}) <= 4
    for market in world.markets:
        assert set(market.taste) <= set(names)
        assert 0 <= market.opens < market.closes <= 1440
    for item in world.items:
        assert set(item.also_takes) <= set(names) - {item.name}
        assert 0 <= item.leftover < item.cost < item.price
        assert 0 < item.season.floor <= 1


def test_the_worlds_hold_what_makes_markets_hard():
    worlds = WORLDS.values()
    assert {name for name, world in WORLDS.items() if world.swaps} == {"swapping_friends"}
    assert any(world.leaves_early for world in worlds)
    assert any(world.price_moves for world in worlds)
    assert any(not world.weather_noted for world in worlds)
    assert any(item.shelf_markets == 2 for world in worlds for item in world.items)
    assert any(item.two_pieces > 0.2 for world in worlds for item in world.items)
    assert any(item.also_takes for world in worlds for item in world.items)
    assert {item.drift > 0 for world in worlds for item in world.items if item.drift} == {True, False}
    assert len({market.arrivals for world in worlds for market in world.markets}) >= 5
    assert len({world.day_spread for world in worlds}) >= 3
    assert all(world.called_off > 0 and world.forgotten > 0 for world in worlds)
