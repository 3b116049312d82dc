from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from farmops.proving.worlds import WORLDS
from farmops.proving.worlds.draws import ItemDay, MarketDay, draw_season
from farmops.proving.worlds.stall import Sale, note, note_called_off, sell
from tests.proving.worlds.test_draws import PLAIN


def a_day(*customers, leaves=1.0):
    """A market day whose customers of each item come at the given shares of the day, (time, pieces, luck)."""
    items = []
    for mine in customers:
        times, pieces, luck = (np.array(part) for part in zip(*mine, strict=True))
        items.append(ItemDay(3.0, times, pieces.astype(int), luck, np.array([1]), 1.0, False))
    return MarketDay(0, date(2025, 4, 12), PLAIN.markets[0], False, False, leaves, tuple(items))


BASIL = [(0.1, 1, 0.9), (0.2, 2, 0.1), (0.5, 1, 0.3), (0.9, 1, 0.9)]
KALE = [(0.3, 1, 0.5), (0.8, 1, 0.5)]


@pytest.mark.parametrize(
    ("stock", "sold", "out_at"),
    [(9, 5, None), (6, 5, None), (5, 5, 0.9), (4, 4, 0.5), (3, 3, 0.2), (2, 2, 0.2), (1, 1, 0.1), (0, 0, None)],
)
def test_stock_runs_out_when_its_last_piece_is_taken(stock, sold, out_at):
    assert sell(PLAIN, a_day(BASIL, KALE), [stock, 9]) == [Sale(sold, 5, out_at), Sale(2, 2, None)]


def test_customers_of_an_empty_item_take_another_of_its_kind():
    world = replace(PLAIN, swaps=0.4, items=tuple(replace(item, category="one") for item in PLAIN.items))
    # basil: one piece at 0.1; the pair at 0.2 (luck 0.1) and the one at 0.5 (0.3) go to kale, the last (0.9) goes home
    assert sell(world, a_day(BASIL, KALE), [1, 9]) == [Sale(1, 5, 0.1), Sale(2 + 3, 2, None)]
    assert sell(world, a_day(BASIL, KALE), [1, 2]) == [Sale(1, 5, 0.1), Sale(2, 2, 0.2)]


def test_nobody_swaps_for_another_kind():
    assert sell(replace(PLAIN, swaps=0.4), a_day(BASIL, KALE), [1, 9]) == [Sale(1, 5, 0.1), Sale(2, 2, None)]


def line(sale, *, times=True, leaves=1.0, forgets=False):
    day = a_day(BASIL, KALE, leaves=leaves)
    drawn = replace(day.items[0], forgets=forgets)
    return note(PLAIN, day, PLAIN.items[0], drawn, 4, 1, sale, times=times)


def test_the_notebook_says_what_a_stall_would_note():
    # 08:00-13:00; half of five hours is 10:30; 0.52 is 10:36, to the nearest quarter 10:30
    assert line(Sale(5, 8, 0.52)) == {
        "date": "2025-04-12",
        "market": "Saturday",
        "opens": "08:00",
        "closes": "13:00",
        "item": "basil",
        "category": "herbs",
        "brought": 4,
        "carried_in": 1,
        "sold": 5,
        "left": 0,
        "sold_out": True,
        "sold_out_at": "10:30",
        "price": 3.0,
        "weather": "dry",
        "cancelled": False,
    }


def test_a_forgotten_time_and_a_table_not_empty_have_none():
    assert line(Sale(5, 8, 0.52), forgets=True)["sold_out_at"] is None
    assert line(Sale(5, 8, 0.52), times=False)["sold_out_at"] is None
    assert line(Sale(3, 3, None))["sold_out"] is False


def test_no_time_lies_after_packing_up():
    said = line(Sale(5, 8, 0.49), leaves=0.497)
    assert (said["closes"], said["sold_out_at"]) == ("10:30", "10:30")
    assert line(Sale(5, 8, 0.999))["sold_out_at"] == "13:00"


def test_a_market_called_off_sells_nothing():
    day = a_day(BASIL, KALE)
    assert [(one["cancelled"], one["brought"], one["sold"]) for one in note_called_off(PLAIN, day)] == [
        (True, 0, 0),
        (True, 0, 0),
    ]


@pytest.mark.parametrize("name", ["swapping_friends", "two_waves"])
def test_nothing_is_sold_that_was_not_there(name):
    world = WORLDS[name]
    rng = np.random.default_rng(1)
    for day in draw_season(world, 2, 0, tuple(range(6))).days:
        stocks = [int(rng.integers(0, 40)) for _ in world.items]
        sales = sell(world, day, stocks)
        for stock, sale in zip(stocks, sales, strict=True):
            assert 0 <= sale.sold <= stock
            assert (sale.out_at is not None) == (sale.sold == stock > 0)
        assert sum(sale.sold for sale in sales) <= sum(sale.wanted for sale in sales)
