"""How many to have on the table: textbook newsvendors against our own quantities, with stockpyl beside them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from stockpyl import loss_functions, newsvendor

from farmops.core.demand.kernel import timed_slope
from farmops.core.demand.predictive import LogMean, negative_binomial, predictive, quantile
from farmops.core.demand.quantity import Worth, best_quantity, critical_ratio, expected_profit, expected_sold
from tests.core.demand.reference import even_rate, normal_loss, normal_newsvendor, normal_newsvendor_cost


def poisson(mean: float) -> np.ndarray:
    return stats.poisson.pmf(np.arange(400), mean)


def worth(price: float, cost: float, leftover: float) -> Worth:
    return Worth(price, cost, ((0, leftover),))


def normal_on_a_grid(mean: float, sd: float, most: int, *, tenths: bool = False) -> np.ndarray:
    """Normal demand on whole steps, or on tenths of one."""
    size = 10 if tenths else 1
    edges = np.arange(most * size + 1) - 0.5
    grid = np.diff(stats.norm.cdf(edges / size, mean, sd))
    return grid / grid.sum()


def tenth_of(priced: Worth) -> Worth:
    """Of a tenth of a step."""
    leftovers = tuple((count, each / 10) for count, each in priced.leftovers)
    return Worth(priced.price / 10, priced.unit_cost / 10, leftovers)


def cost_of(probabilities: np.ndarray, stock: int, holding: float, shortage: float) -> float:
    """Expected cost from our expected sales."""
    sold = float(expected_sold(probabilities)[stock])
    mean = float(np.arange(probabilities.size) @ probabilities)
    return holding * (stock - sold) + shortage * (mean - sold)


@pytest.mark.oracle("O01", "O02")
@pytest.mark.check("D01", "D02")
def test_normal_newsvendor():
    # stockpyl 1.0.2 docstring (Snyder & Shen Ex. 4.1, 4.3).
    stock, cost = normal_newsvendor(0.18, 0.70, 50, 8)
    assert stock == pytest.approx(56.60395592743389, abs=1e-9)
    assert cost == pytest.approx(1.9976051931766445, abs=1e-9)
    assert normal_newsvendor_cost(60, 0.18, 0.70, 50, 8) == pytest.approx(2.156131552870387, abs=1e-9)
    assert normal_newsvendor_cost(40, 0.18, 0.70, 50, 8) == pytest.approx(7.3561, abs=1e-4)
    assert newsvendor.newsvendor_normal(0.18, 0.70, 50, 8) == pytest.approx((stock, cost), abs=1e-9)
    # Our own quantity on a fine grid of tenths of that normal.
    at = np.arange(1200)
    fine = np.diff(stats.norm.cdf((np.concatenate([at, [1200]]) - 0.5) / 10, 50, 8))
    assert best_quantity(fine / fine.sum(), worth(0.88, 0.18, 0.0)) / 10 == pytest.approx(56.6, abs=0.15)


@pytest.mark.oracle("O04")
@pytest.mark.check("D03")
def test_normal_newsvendor_with_prices():
    # stockpyl docstring: revenue 1, cost 0.3, salvage 0.12.
    assert critical_ratio(1, 0.3, 0.12) == pytest.approx(0.70 / 0.88, abs=1e-12)
    stock = stats.norm.ppf(critical_ratio(1, 0.3, 0.12), 50, 8)
    assert stock == pytest.approx(56.60395592743389, abs=1e-9)
    _, left = normal_loss(stock, 50, 8)
    assert (stock - left) + 0.12 * left - 0.3 * stock == pytest.approx(33.002394806823354, abs=1e-9)
    assert newsvendor.newsvendor_normal_explicit(1, 0.3, 0.12, 50, 8)[0] == pytest.approx(stock, abs=1e-9)


@pytest.mark.oracle("O03", "O05")
@pytest.mark.check("D04", "D05")
def test_poisson_newsvendor():
    # stockpyl docstring: h .18, p .70, Poisson(50); with prices 1, .3, .12.
    stock = best_quantity(poisson(50), worth(0.88, 0.18, 0.0))
    assert stock == 56
    assert cost_of(poisson(50), 56, 0.18, 0.70) == pytest.approx(1.797235211809178, abs=1e-9)
    priced = worth(1, 0.3, 0.12)
    assert best_quantity(poisson(50), priced) == 56
    assert float(expected_profit(poisson(50), priced)[56]) == pytest.approx(33.20276478819082, abs=1e-9)
    assert newsvendor.newsvendor_poisson(0.18, 0.70, 50) == pytest.approx((56, 1.797235211809178), abs=1e-9)


@pytest.mark.oracle("O06")
@pytest.mark.check("D06")
def test_small_poisson_newsvendor():
    # stockpyl docstring: h 1, p 4, Poisson(6); at S = 5 the cost is 6.5903.
    assert best_quantity(poisson(6), worth(5, 1, 0)) == 8
    assert cost_of(poisson(6), 8, 1, 4) == pytest.approx(3.570106945770941, abs=1e-9)
    assert cost_of(poisson(6), 5, 1, 4) == pytest.approx(6.590296024616343, abs=1e-9)


@pytest.mark.oracle("O07")
@pytest.mark.check("D07")
def test_lognormal_newsvendor():
    # stockpyl docstring: h 1, p .1765, lognormal mu 6, sigma .3.
    demand = stats.lognorm(0.3, scale=np.exp(6))
    stock = demand.ppf(0.1765 / 1.1765)
    assert stock == pytest.approx(295.6266448071368, abs=1e-6)
    at = np.arange(2000)
    grid = np.diff(demand.cdf(np.concatenate([at, [2000]]) - 0.5))
    grid = grid / grid.sum()
    assert abs(best_quantity(grid, worth(1.1765, 1.0, 0.0)) - stock) <= 1.0
    assert cost_of(grid, 296, 1, 0.1765) == pytest.approx(29.44254351324322, abs=0.01)


@pytest.mark.oracle("O08")
def test_myopic_stock_with_leftovers_carried():
    # stockpyl docstring. A leftover kept saves the discounted next purchase.
    stock, cost = newsvendor.myopic(0.18, 0.70, 0.3, 0.35, 50, 8, 0.98)
    assert (stock, cost) == pytest.approx((58.09891883213067, 16.682411764618777), abs=1e-9)
    assert newsvendor.myopic(0.18, 0.70, 0.3, 0.35, 50, 8, 0.98, base_stock_level=62)[1] == pytest.approx(
        16.850319828088736, abs=1e-9
    )
    saved = 0.98 * 0.35
    carried = worth(0.70 + saved, 0.3, saved - 0.18)  # one short costs the shortage and that purchase too
    assert stats.norm.ppf(critical_ratio(0.70 + saved, 0.3, saved - 0.18), 50, 8) == pytest.approx(stock, abs=1e-9)
    fine = normal_on_a_grid(50, 8, 120, tenths=True)
    assert best_quantity(fine, tenth_of(carried)) / 10 == pytest.approx(stock, abs=0.1)
    for at, expected in [(58.1, 16.682411764618777), (62, 16.850319828088736)]:
        # Purchases less what the next one saves, and our expected leftovers and shortage.
        own = 0.3 * at - saved * (at - 50) + cost_of(fine, round(10 * at), 0.18, 0.70) / 10
        assert own == pytest.approx(expected, abs=1e-3)


@pytest.mark.oracle("O09")
@pytest.mark.check("D11", "D12", "D13")
def test_loss_functions():
    # stockpyl docstrings.
    assert normal_loss(18.6, 15, 3) == pytest.approx((0.1683073521514889, 3.7683073521514903), abs=1e-9)
    assert normal_loss(1.3, 0, 1) == pytest.approx((0.04553, 1.34553), abs=1e-5)
    for probabilities, stock, expected in [
        (poisson(15), 18, (0.5176095282584724, 3.5176095282584723)),
        (stats.nbinom.pmf(np.arange(600), 4, 0.2), 14, loss_functions.negative_binomial_loss(14, 4, 0.2)),
    ]:
        sold = float(expected_sold(probabilities)[stock])
        mean = float(np.arange(probabilities.size) @ probabilities)
        assert (mean - sold, stock - sold) == pytest.approx(expected, abs=1e-8)
    assert loss_functions.negative_binomial_loss(14, 4, 0.2) == pytest.approx(
        (4.447304632028364, 2.447304632028364), abs=1e-9
    )
    k = 23**2 / (8**2 - 23)
    ours = negative_binomial(np.array([23.0]), k, 900)[0]
    sold = float(expected_sold(ours)[14])
    assert (23 - sold, 14 - sold) == pytest.approx((9.326459980156931, 0.32645998015693145), abs=1e-8)


MAGAZINE = [15, 19, 9, 12, 9, 22, 4, 7, 8, 11, 14, 11, 6, 11, 9, 18, 10, 0, 14, 12, 8, 9, 5, 4, 4, 17]
MAGAZINE += [18, 14, 15, 8, 6, 7, 12, 15, 15, 19, 9, 10, 9, 16, 8, 11, 11, 18, 15, 17, 19, 14, 14, 17, 13, 12]


@pytest.mark.oracle("O10", "O11")
def test_weekly_magazine():
    # Nahmias, Production & Operations Analysis: values and moments seen on a lecture page, costs from memory.
    assert float(np.mean(MAGAZINE)) == pytest.approx(11.730769, abs=1e-6)
    assert float(np.std(MAGAZINE, ddof=1)) == pytest.approx(4.740792, abs=1e-6)
    ratio = critical_ratio(0.75, 0.25, 0.10)
    assert ratio == pytest.approx(0.76923, abs=1e-5)
    assert stats.norm.ppf(ratio, 11.73, 4.74) == pytest.approx(15.2201, abs=1e-4)
    counts = np.bincount(MAGAZINE) / len(MAGAZINE)
    total = np.cumsum(counts)
    assert (round(float(total[14]), 4), round(float(total[15]), 4)) == (0.6923, 0.7885)
    assert quantile(counts, ratio) == 15
    assert best_quantity(np.concatenate([counts, np.zeros(40)]), worth(0.75, 0.25, 0.10)) == 15


@pytest.mark.oracle("O12")
def test_freddie_the_newsboy():
    # Hillier & Lieberman, exercise text seen at solutioninn; answers computed.
    demand = np.zeros(30)
    demand[15:19] = [0.4, 0.2, 0.3, 0.1]
    freddie = worth(2.50, 1.50, 0.50)
    np.testing.assert_allclose(expected_profit(demand, freddie)[15:19], [15.0, 15.2, 15.0, 14.2], atol=1e-9)
    assert best_quantity(demand, freddie) == 16
    assert critical_ratio(2.50, 1.50, 0.50) == 0.5


@pytest.mark.oracle("O13")
def test_wetsuits():
    # Cachon & Terwiesch, Matching Supply with Demand (inputs from memory; slides page seen).
    ratio = critical_ratio(190, 110, 90)
    assert ratio == pytest.approx(0.8)
    stock = 3192 + stats.norm.ppf(ratio) * 1181
    assert stock == pytest.approx(4185.95, abs=0.01)
    _, left = normal_loss(stock, 3192, 1181)
    assert left == pytest.approx(1125.80, abs=0.01)
    assert 190 * (stock - left) + 90 * left - 110 * stock == pytest.approx(222296.50, abs=0.5)
    # The book's table has z = 0.85.
    book = 3192 + 0.85 * 1181
    assert (book, round(book)) == (pytest.approx(4195.85, abs=0.005), 4196)
    _, left = normal_loss(book, 3192, 1181)
    assert left == pytest.approx(1133.73, abs=0.01)
    assert 190 * (book - left) + 90 * left - 110 * book == pytest.approx(222295.34, abs=0.01)
    # Our own quantity, leftovers and profit; 4000 more are wanted, so that no demand lies below nothing.
    more = 4000
    grid = normal_on_a_grid(3192 + more, 1181, 16_000)
    assert best_quantity(grid, worth(190, 110, 90)) - more == pytest.approx(4185.95, abs=1.0)
    at = [4185, 4186, 4195, 4196]
    lefts = [more + whole - float(expected_sold(grid)[more + whole]) for whole in at]
    profits = [float(expected_profit(grid, worth(190, 110, 90))[more + whole]) - 80 * more for whole in at]
    for exact, left, profit in [(4185.95, 1125.80, 222296.50), (4195.85, 1133.73, 222295.34)]:
        assert np.interp(exact, at, lefts) == pytest.approx(left, abs=0.01)
        assert np.interp(exact, at, profits) == pytest.approx(profit, abs=0.05)


@pytest.mark.oracle("O17")
def test_sold_by_hours_on_sale():
    # Freireich data (lifelines): 9 events in 359 weeks, 21 in 182: events ÷ exposure, as our even rate.
    # Our kernel's most probable mean for steady demand is that same quotient.
    for events, weeks, rate, mean in [(9, 359, 0.0250696, 39.889), (21, 182, 0.1153846, 8.667)]:
        found = even_rate(events, weeks)
        assert found == pytest.approx(rate, abs=1e-7)
        assert 1 / found == pytest.approx(mean, abs=1e-3)
        score, _ = timed_slope(np.array([float(events)]), np.array([float(weeks)]), np.array([found]), 1e9)
        assert float(score[0]) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.oracle("O19", "O20")
def test_poisson_quantiles():
    # scipy 1.17.1 run.
    shares = [0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.99, 0.996]
    assert [quantile(poisson(4.25), share) for share in shares] == [2, 3, 4, 6, 6, 7, 8, 10, 11]
    assert [quantile(poisson(12), share) for share in shares] == [8, 10, 12, 14, 15, 17, 18, 21, 22]
    assert [quantile(poisson(20), share) for share in shares] == [14, 17, 20, 23, 24, 26, 28, 31, 33]


@pytest.mark.check("D15")
def test_more_poisson_quantiles():
    assert [quantile(poisson(mean), share) for mean, share in [(20, 0.90), (12, 0.75), (6, 0.80)]] == [26, 14, 8]
    total = np.cumsum(poisson(6))
    assert (round(float(total[7]), 4), round(float(total[8]), 4)) == (0.7440, 0.8472)


@pytest.mark.oracle("O21")
def test_negative_binomial_quantiles():
    # scipy run, n = k, p = k / (k + mean).
    shares = [0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95]
    for mean, k, expected in [(12.0, 4.0, [4, 7, 11, 16, 17, 21, 25]), (20.0, 8.0, [10, 14, 19, 25, 27, 31, 35])]:
        ours = negative_binomial(np.array([mean]), k, 300)[0]
        assert [quantile(ours, share) for share in shares] == expected
        np.testing.assert_allclose(ours, stats.nbinom.pmf(np.arange(301), k, k / (k + mean)), atol=1e-13)


@pytest.mark.check("D08")
def test_large_normal_newsvendor():
    # Inputs in stockpyl's instances; run.
    assert normal_newsvendor(43, 79, 900, 60) == pytest.approx((922.72, 2718.20), abs=0.01)
    fine = normal_on_a_grid(900, 60, 1500, tenths=True)
    assert best_quantity(fine, tenth_of(worth(122, 43, 0))) / 10 == pytest.approx(922.72, abs=0.1)
    assert cost_of(fine, 9227, 43, 79) / 10 == pytest.approx(2718.20, abs=0.01)


@pytest.mark.check("D09")
def test_priced_normal_newsvendor():
    stock = 50 + 10 * stats.norm.ppf(critical_ratio(7, 2.5, 1.5))
    _, left = normal_loss(stock, 50, 10)
    assert stock == pytest.approx(59.08, abs=0.01)
    assert 7 * (stock - left) + 1.5 * left - 2.5 * stock == pytest.approx(210.48, abs=0.01)


@pytest.mark.check("D10")
def test_newsvendor_with_a_table():
    table = np.array([0, 0.25, 0.05, 0.10, 0.20, 0.15, 0.10, 0.10, 0.05, 0, 0, 0])
    assert best_quantity(table, worth(1.5, 0.5, 0.0)) == 5
    assert cost_of(table, 5, 500_000, 1_000_000) == pytest.approx(1_225_000, abs=1e-3)


@pytest.mark.check("D14")
def test_critical_ratio():
    assert critical_ratio(4, 1.5, 0.25) == pytest.approx(0.6667, abs=5e-5)


@pytest.mark.oracle("O43", "O44", "O45")
def test_farm_newsvendor():
    # Derived: enumeration.
    priced = worth(3, 1, 0.2)
    assert critical_ratio(3, 1, 0.2) == pytest.approx(0.714286, abs=1e-6)
    assert best_quantity(poisson(20), priced) == 22
    assert float(expected_profit(poisson(20), priced)[22]) == pytest.approx(35.65741, abs=1e-5)
    spread = negative_binomial(np.array([20.0]), 8.0, 400)[0]
    assert best_quantity(spread, priced) == 24
    assert float(expected_profit(spread, priced)[24]) == pytest.approx(31.641694, abs=1e-5)
    with_box = Worth(3, 1, ((6, 1.2), (0, 0.2)))
    assert best_quantity(spread, with_box) == 26
    assert float(expected_profit(spread, with_box)[26]) == pytest.approx(35.482617, abs=1e-5)


@pytest.mark.oracle("O47")
def test_predictive_quantiles():
    # Derived: log mu ~ N(log 20, .25), k 8, nine nodes. The catalogue names no shares; the median, the critical ratio
    # of the farm newsvendor (5/7) and 90 % give its three counts.
    mixed = predictive((LogMean(1.0, float(np.log(20)), 0.25),), 8.0)
    assert [quantile(mixed, share) for share in (0.5, 5 / 7, 0.9)] == [19, 25, 34]


@given(
    mean=st.floats(0.3, 60),
    k=st.floats(1, 30),
    price=st.floats(0.5, 9),
    cost_share=st.floats(0.05, 0.9),
    leftover_share=st.floats(0, 0.9),
    times=st.sampled_from([0.01, 0.5, 2.0, 100.0]),
)
def test_money_in_other_coins_leaves_the_quantity(mean, k, price, cost_share, leftover_share, times):
    demand = negative_binomial(np.array([mean]), k, 600)[0]
    cost = price * cost_share
    leftover = cost * leftover_share
    here = best_quantity(demand, worth(price, cost, leftover))
    assert best_quantity(demand, worth(price * times, cost * times, leftover * times)) == here


@given(mean=st.floats(0.3, 60), k=st.floats(1, 30), cost=st.floats(0.1, 2.9), leftover=st.floats(0, 0.09))
def test_enumeration_is_the_critical_quantile(mean, k, cost, leftover):
    demand = negative_binomial(np.array([mean]), k, 900)[0]
    ratio = critical_ratio(3.0, cost, leftover)
    total = np.cumsum(demand)
    at = best_quantity(demand, worth(3.0, cost, leftover))
    assert total[at] >= ratio - 1e-7
    assert at == 0 or total[at - 1] <= ratio + 1e-7


def test_nothing_to_earn_brings_nothing():
    assert best_quantity(poisson(20), worth(1.0, 1.0, 0.0)) == 0
    assert critical_ratio(1.0, 2.0, 0.0) == 0.0


def test_leftovers_worth_their_cost_do_not_call_for_no_end():
    assert best_quantity(poisson(20), worth(3.0, 1.0, 1.0)) <= 40
