from functools import cache

import numpy as np
import pytest
from scipy import stats

from farmops.proving.habits import (
    HABITS,
    KnowingCarry,
    average_of_last_four,
    carried_on,
    critical_share,
    knowing_quantity,
    up_when_sold_out,
)
from farmops.proving.worlds.draws import ItemDay
from farmops.proving.worlds.notebook import Ask, Record
from farmops.proving.worlds.parts import Item


def record(day, sold, left=0, **more):
    line = Record(
        date=f"2025-05-{day:02d}",
        market="Saturday",
        opens="08:00",
        closes="13:00",
        item="basil",
        category="",
        brought=sold + left,
        carried_in=0,
        sold=sold,
        left=left,
        sold_out=left == 0,
        sold_out_at=None,
        price=3.0,
        weather=None,
        cancelled=False,
    )
    return line | more


def ask(**more):
    line = Ask(
        date="2025-06-01",
        market="Saturday",
        opens="08:00",
        closes="13:00",
        item="basil",
        category="",
        price=3.0,
        weather=None,
        unit_cost=1.0,
        leftover_value=0.0,
        shelf_markets=1,
        carry_loss=0.0,
        carried_in=0,
        guess=None,
    )
    return line | more


PAST = [record(24, 12, 3), record(3, 99, 1), record(10, 10, 2), record(17, 20), record(31, 16, 4)]


def test_the_average_is_of_the_last_four_by_date():
    # by hand: (10 + 20 + 12 + 16) / 4 = 14.5, to the even whole
    assert average_of_last_four(PAST, [ask()]).bring == (14,)
    assert average_of_last_four(PAST, [ask(carried_in=5)]).bring == (9,)


def test_called_off_markets_and_other_markets_do_not_count():
    more = [*PAST, record(30, 0, cancelled=True), record(31, 50, market="Station")]
    assert average_of_last_four(more, [ask()]).bring == (14,)


def test_up_a_fifth_when_sold_out_else_a_twentieth_more_than_sold():
    # by hand: 1.05 * 16 = 16.8, up to 17; 1.2 * (20 + 2 carried in) = 26.4, up to 27; 1.2 * 20 = 24 and not 25
    assert up_when_sold_out(PAST, [ask()]).bring == (17,)
    assert up_when_sold_out([record(17, 20, carried_in=2)], [ask()]).bring == (27,)
    assert up_when_sold_out([record(17, 20)], [ask()]).bring == (24,)


@pytest.mark.parametrize("habit", HABITS.values(), ids=HABITS)
def test_without_a_past_a_habit_takes_the_guess_and_never_gives_an_item_up(habit):
    assert habit([], [ask(guess=7.0), ask()]).bring == (7, 20)
    assert habit([record(3, 0, 5)], [ask()]).bring == (1,)


def a_day(draws, price=3.0):
    none = np.array([])
    return ItemDay(price, none, none.astype(int), none, np.sort(np.asarray(draws)), float(np.mean(draws)), False)


@pytest.mark.parametrize(("cost", "leftover"), [(1.0, 0.2), (0.4, 0.0), (2.5, 0.1), (1.5, 1.0)])
def test_who_knows_the_distribution_brings_the_best_quantity(cost, leftover):
    """Brute force over all quantities; and the quantile of the law that the draws come from (scipy.stats.nbinom)."""
    mean, k = 20, 8
    law = stats.nbinom(k, k / (k + mean))
    draws = law.ppf((np.arange(1500) + 0.5) / 1500).astype(int)
    item = Item("basil", "", 20, 3.0, cost, leftover)
    profits = [
        (3.0 * np.minimum(draws, stock) + leftover * np.maximum(stock - draws, 0)).mean() - cost * stock
        for stock in range(draws.max() + 2)
    ]
    best = knowing_quantity(a_day(draws), item)
    assert profits[best] == pytest.approx(max(profits))
    assert best == law.ppf(critical_share(3.0, cost, leftover))


@pytest.mark.oracle("O43")
def test_farm_newsvendor_poisson():
    # our numbers: price 3, cost 1, leftover 0.2, Poisson(20): critical share 0.714286, 22 pieces
    draws = stats.poisson(20).ppf((np.arange(1500) + 0.5) / 1500).astype(int)
    assert critical_share(3, 1, 0.2) == pytest.approx(0.714286, abs=1e-6)
    best = knowing_quantity(a_day(draws), Item("basil", "", 20, 3.0, 1.0, 0.2))
    assert best == 22
    wanted = np.arange(200)
    profit = 3 * np.minimum(wanted, best) + 0.2 * np.maximum(best - wanted, 0) - 1 * best
    assert float(profit @ stats.poisson.pmf(wanted, 20)) == pytest.approx(35.65741, abs=1e-5)


def test_what_costs_more_than_it_brings_stays_at_home():
    assert knowing_quantity(a_day([5, 6, 7], price=0.5), Item("basil", "", 6, 3.0, 1.0)) == 0


def test_carried_on_loses_its_share():
    # by hand, 15 % lost, halves up: 0, 0.85, 1.7, 2.55, 8.5
    item = Item("kale", "", 20, 3.0, 1.0, shelf_markets=2, carry_loss=0.15)
    assert carried_on(item, np.array([0, 1, 2, 3, 10])).tolist() == [0, 1, 2, 3, 9]


def brute_force(item, days, left_worth):
    """Expected worth of a quantity, and the best there is, by trying every quantity: plain recursion."""
    books = [day.book.tolist() for day in days]
    top = max(max(book) for book in books) + 2

    def worth_of(at, carried, fresh):
        total = 0.0
        for demand in books[at]:
            sold = min(demand, carried + fresh)
            stale = max(0, carried - demand)
            over = carried + fresh - sold - stale
            kept = int(np.floor((1 - item.carry_loss) * over + 0.5))
            total += days[at].price * sold - item.cost * fresh + item.leftover * stale + best(at + 1, kept)
        return total / len(books[at])

    @cache
    def best(at, carried):
        if at == len(days):
            return left_worth * carried
        return max(worth_of(at, carried, fresh) for fresh in range(top))

    return worth_of, best


@pytest.mark.parametrize("loss", [0.0, 0.2, 1.0])
def test_the_best_carrying_over_is_that_of_plain_recursion(loss):
    item = Item("kale", "", 4, 3.0, 1.2, 0.1, shelf_markets=2, carry_loss=loss)
    days = [a_day([1, 3, 4, 6]), a_day([0, 1, 2, 2], price=2.5), a_day([2, 5, 5, 7])]
    plan = KnowingCarry(item, days)
    worth_of, best = brute_force(item, days, item.leftover)
    for at in range(3):
        for carried in range(7):
            assert worth_of(at, carried, plan.quantity(at, carried)) == pytest.approx(best(at, carried))


def test_with_all_lost_on_the_way_each_day_stands_alone():
    item = Item("kale", "", 4, 3.0, 1.2, 0.0, shelf_markets=2, carry_loss=1.0)
    days = [a_day([1, 3, 4, 6]), a_day([2, 5, 5, 7])]
    plan = KnowingCarry(item, days)
    assert [plan.quantity(at, 0) for at in range(2)] == [knowing_quantity(day, item) for day in days]
