import pytest

from farmops.proving.restaurant import cut_off
from farmops.proving.restaurant_walk import FIRST_DAY, Guess, as_served, best_fixed, compare, earned, walk
from farmops.proving.worlds.notebook import Answer

NOTED = cut_off(0.5)


def test_each_day_is_asked_about_from_the_days_before_only():
    seen = []

    def policy(records, asks):
        seen.append((list(records), list(asks)))
        return Answer((10,) * len(asks), (9.0,) * len(asks))

    guesses = walk(NOTED, policy)
    assert len(seen) == 216 - FIRST_DAY
    assert len(guesses) == 7 * len(seen)
    for number, (records, asks) in enumerate(seen):
        assert len({record["date"] for record in records}) == FIRST_DAY + number
        assert max(record["date"] for record in records) < min(ask["date"] for ask in asks)
        assert {(ask["weather"], ask["guess"]) for ask in asks} == {(None, None)}
    demands = [one.demand for one in NOTED[7 * FIRST_DAY :]]
    assert [one.demand for one in guesses] == demands


def test_the_truth_told_holds_the_demand_and_no_sell_out():
    for one in NOTED[:300]:
        told = as_served(one)
        assert (told["sold"], told["sold_out"], told["sold_out_at"]) == (one.demand, False, None)
        assert told["left"] == told["brought"] - one.demand > 0


GUESSES = [Guess("a", 2.0, demand, bring, mean) for demand, bring, mean in [(4, 5, 4.0), (6, 5, 6.0), (2, 1, 5.0)]]


def test_profit_and_error_by_hand():
    # profit of a day: 2 (min(bring, demand) - 0.3 bring): 5, 7, 1.4
    assert earned(GUESSES) == pytest.approx(13.4)
    # one quantity every day: 4 earns 2 (4 + 4 + 2) - 3 * 2.4 = 12.8; 5 earns 13; 6 earns 13.2; 2 earns 8.4
    assert best_fixed(GUESSES) == {"a": 6}
    row = compare(GUESSES)
    # (4 + 6 + 5) / 12 - 1; (0 + 0 + 3) / 3; on two days nothing was left
    assert (row["bias"], row["mean_absolute_error"]) == pytest.approx((0.25, 1.0))
    assert row["profit_share"] == pytest.approx(13.4 / 13.2, abs=1e-5)
    assert row["ran_out_share"] == pytest.approx(2 / 3, abs=1e-4)


def test_the_best_fixed_quantity_is_the_best_of_all():
    guesses = walk(NOTED, lambda records, asks: Answer((1,) * len(asks), (None,) * len(asks)))
    fixed = best_fixed(guesses)
    for item, best in fixed.items():
        mine = [one for one in guesses if one.item == item]
        profits = {stock: sum(one.profit(stock) for one in mine) for stock in range(120)}
        assert profits[best] == max(profits.values())
    assert compare(guesses)["bias"] is None
