"""Leftovers that live one more market, against an exact dynamic programme."""

import numpy as np
import pytest

from farmops.core.demand.carrying import carry_value
from farmops.core.demand.predictive import negative_binomial, quantile
from farmops.core.demand.quantity import critical_ratio
from tests.core.demand.reference import TwoMarkets


def demand(mean: float, k: float = 8.0) -> np.ndarray:
    table = negative_binomial(np.array([mean]), k, 110)[0]
    return table / table.sum()


def order_up_to(world: TwoMarkets) -> tuple[list[int], list[np.ndarray]]:
    """The rule's stock of each market, and the policy it makes."""
    stocks = [
        carry_value(
            world.demand[at],
            world.demand[1 - at],
            price=world.price,
            unit_cost=world.cost,
            leftover_value=world.scrap,
            loss=world.loss,
        ).stock
        for at in (0, 1)
    ]
    carried = np.arange(world.most_carried + 1)
    return stocks, [np.maximum(stock - carried, 0) for stock in stocks]


@pytest.mark.oracle("O46")
def test_rule_against_the_exact_programme():
    # Derived: means 20/12, k 8, price 3, cost .9, scrap .1, 15 % lost on the way.
    world = TwoMarkets((demand(20.0), demand(12.0)), 3.0, 0.9, 0.1, 0.15)
    single = [quantile(one, critical_ratio(3.0, 0.9, 0.1)) for one in world.demand]
    assert single == [24, 15]
    stocks, policy = order_up_to(world)
    assert stocks == [28, 20]
    best, profit = world.play()
    assert [int(best[at][0]) for at in (0, 1)] == [29, 21]
    assert [int(best[at][10]) for at in (0, 1)] == [19, 9]
    assert profit == pytest.approx(30.6824, abs=1e-3)
    _, ours = world.play(policy)
    assert ours / profit == pytest.approx(0.9978, abs=2e-4)


@pytest.mark.parametrize(("cost", "loss", "k"), [(0.6, 0.05, 8.0), (1.5, 0.3, 8.0), (0.9, 0.15, 3.0)])
def test_rule_stays_within_one_per_cent_of_the_best(cost, loss, k):
    world = TwoMarkets((demand(14.0, k), demand(9.0, k)), 3.0, cost, 0.0, loss)
    _, profit = world.play()
    _, ours = world.play(order_up_to(world)[1])
    assert 0.99 <= ours / profit <= 1.0 + 1e-9


def test_all_lost_on_the_way_is_the_single_day():
    single = carry_value(demand(20.0), demand(12.0), price=3.0, unit_cost=1.0, leftover_value=0.0, loss=1.0)
    assert (single.value, single.stock) == (0.0, quantile(demand(20.0), 2 / 3))
