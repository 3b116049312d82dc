from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from farmops.proving.habits import HABITS, critical_share
from farmops.proving.season_play import (
    Farm,
    asks_of,
    by_knowing,
    by_policy,
    by_short_habit,
    play,
    profit,
    truth_told,
)
from farmops.proving.worlds import WORLDS
from farmops.proving.worlds.draws import draw_season
from farmops.proving.worlds.notebook import Answer
from farmops.proving.worlds.parts import Item
from farmops.proving.worlds.stall import Sale
from tests.proving.test_habits import a_day, record
from tests.proving.worlds.test_draws import PLAIN

HARDY = Item("kale", "", 4, 3.0, 1.0, 0.5, shelf_markets=2, carry_loss=0.0)
SOFT = Item("basil", "", 4, 3.0, 1.0, 0.5)
SEASON = draw_season(WORLDS["hardy_leaves"], 1, 0, tuple(range(8)))


@pytest.mark.parametrize(
    ("item", "fresh", "carried", "expected"),
    [
        # by hand, demand 2 or 6 alike: 5 fresh sell 2 or 5, 3 or 0 come back and are worth half
        (SOFT, 5, 0, 3 * 3.5 + 0.5 * 1.5 - 5),
        # hardy: what is left of the fresh ones goes on, worth nothing yet
        (HARDY, 5, 0, 3 * 3.5 - 5),
        # hardy, three of yesterday's first: on the slow day one of them is stale, worth half
        (HARDY, 1, 3, 3 * (2 + 4) / 2 + 0.5 * 0.5 - 1),
    ],
)
def test_profit_is_expected_over_the_day_s_own_distribution(item, fresh, carried, expected):
    assert profit(PLAIN, item, a_day([2, 6]), fresh, carried, Sale(99, 99, None)) == pytest.approx(expected)


def test_where_customers_swap_profit_is_what_was_earned():
    world = replace(PLAIN, swaps=0.4)
    assert profit(world, SOFT, a_day([2, 6]), 5, 0, Sale(4, 3, None)) == pytest.approx(3 * 4 + 0.5 - 5)


def constant(count):
    return lambda records, asks: Answer((count,) * len(asks), (None,) * len(asks))


def test_hardy_leftovers_are_carried_in_once():
    farm = Farm()
    play(SEASON, SEASON.days, by_policy(SEASON, constant(50)), farm)
    kale = [one for one in farm.records if one["item"] == "kale" and not one["cancelled"]]
    for before, after in pairwise(kale):
        left_of_fresh = before["brought"] - max(0, before["sold"] - before["carried_in"])
        assert after["carried_in"] == int(np.floor(0.9 * left_of_fresh + 0.5 + 1e-9))
    assert max(one["carried_in"] for one in kale) > 20
    assert {one["carried_in"] for one in farm.records if one["item"] == "basil"} == {0}


@pytest.mark.parametrize("name", ["corner_stand", "hardy_leaves", "price_board"])
def test_nobody_earns_more_than_who_knows(name):
    """Against habits, and against the same plan with a fifth more or less."""
    draw = draw_season(WORLDS[name], 3, 0, tuple(range(12)))

    def total(decide):
        return sum(one.profit for one in play(draw, draw.days, decide, Farm()))

    def moved(factor):
        knows = by_knowing(draw, draw.days)

        def decide(number, day, farm):
            answer = knows(number, day, farm)
            return replace(answer, bring=tuple(round(factor * one) for one in answer.bring))

        return decide

    best = total(by_knowing(draw, draw.days))
    others = [by_policy(draw, habit) for habit in HABITS.values()] + [moved(0.8), moved(1.2)]
    assert max(total(decide) for decide in others) < best


def test_who_knows_meets_the_whole_demand_as_often_as_pays():
    lines = []
    for season in range(3):
        draw = draw_season(WORLDS["town_square"], 3, season, tuple(range(20)))
        lines += play(draw, draw.days, by_knowing(draw, draw.days), Farm())
    met = np.mean([one.wanted <= one.stock for one in lines])
    # 1200 item-days on 120 days that share a factor: four standard errors of the days alone are 0.08
    assert met == pytest.approx(np.mean([one.critical for one in lines]), abs=0.08)


def test_the_short_habit_sells_out_on_four_days_in_five():
    lines = []
    for name, world in WORLDS.items():
        draw = draw_season(world, 1, 0, tuple(range(20)))
        lines += play(draw, draw.days, by_short_habit(draw, (1, len(name))), Farm())
    assert np.mean([one.ran_out for one in lines]) == pytest.approx(0.8, abs=0.05)


def test_the_truth_told_reads_like_a_day_with_plenty():
    told = truth_told(record(3, 10, carried_in=2, brought=8), Sale(10, 17, 0.4))
    assert (told["brought"], told["carried_in"], told["sold"], told["left"]) == (16, 2, 17, 1)
    assert (told["sold_out"], told["sold_out_at"]) == (False, None)


def test_questions_hold_only_what_is_known_the_evening_before():
    wet = next(day for day in SEASON.days if day.rains)
    line = asks_of(SEASON, wet, {"kale": 3})[0]
    assert (line["item"], line["carried_in"], line["weather"], line["shelf_markets"]) == ("kale", 3, "rain", 2)
    assert asks_of(SEASON, wet, {}, told=False)[0]["weather"] is None
    assert line["unit_cost"] == 0.9
    assert critical_share(line["price"], line["unit_cost"], line["leftover_value"]) == pytest.approx(0.7)


def test_a_market_called_off_is_noted_and_keeps_what_was_carried():
    days = [replace(day, called_off=at == 1) for at, day in enumerate(SEASON.days[:3])]
    farm = Farm()
    lines = play(SEASON, days, by_policy(SEASON, constant(60)), farm)
    assert len(lines) == 2 * len(SEASON.world.items)
    assert sum(one["cancelled"] for one in farm.records) == len(SEASON.world.items)
    third = [one for one in farm.records if one["date"] == days[2].day.isoformat() and one["item"] == "kale"]
    assert third[0]["carried_in"] > 0
