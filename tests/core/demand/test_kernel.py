"""What one day says: against integrals, enumeration and optimisers of scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize, special, stats

from farmops.core.demand.kernel import at_least, log_rising, timed_log, timed_slope


def one(value: float) -> np.ndarray:
    return np.array([value], dtype=np.float64)


@pytest.mark.parametrize(
    ("sold", "exposure", "expected"),
    [
        # Derived: log of the integral of L^y e^(-L e) Gamma(L; 8, mean 20).
        pytest.param(20, 1.0, 39.280829, marks=pytest.mark.oracle("O30")),
        pytest.param(12, 0.5, 25.591607, marks=pytest.mark.oracle("O31")),
        pytest.param(5, 0.1, 13.142641, marks=pytest.mark.oracle("O32")),
    ],
)
def test_kernel_is_the_log_of_the_integral(sold, exposure, expected):
    here = float(timed_log(one(sold), one(exposure), one(20.0), 8.0)[0])
    assert here == pytest.approx(expected, abs=1e-5)

    def integrand(rate):
        return np.exp(sold * np.log(rate) - rate * exposure) * stats.gamma.pdf(rate, 8, scale=20 / 8)

    assert here == pytest.approx(np.log(integrate.quad(integrand, 0, 400, limit=400)[0]), abs=1e-6)


def test_log_rising_counts_whole_and_broken_numbers_alike():
    y = np.array([0.0, 1.0, 17.0, 250.0])
    expected = special.gammaln(7.5 + y) - special.gammaln(7.5)
    np.testing.assert_allclose(log_rising(7.5, y), expected, rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(
        log_rising(7.5, np.array([2.5])), special.gammaln(10.0) - special.gammaln(7.5), rtol=1e-12
    )


@pytest.mark.parametrize(("sold", "exposure", "mean", "k"), [(20, 1.0, 25.0, 8.0), (5, 0.04, 60.0, 3.0)])
def test_score_and_information_are_the_derivatives(sold, exposure, mean, k):
    step = 1e-4
    values = [float(timed_log(one(sold), one(exposure), one(mean * np.exp(move)), k)[0]) for move in (-step, 0.0, step)]
    score, information = timed_slope(one(sold), one(exposure), one(mean), k)
    assert float(score[0]) == pytest.approx((values[2] - values[0]) / (2 * step), abs=1e-6)
    assert float(information[0]) == pytest.approx(-(values[2] - 2 * values[1] + values[0]) / step**2, abs=1e-4)


def test_a_crop_gone_at_once_tells_at_most_what_it_sold():
    _, information = timed_slope(one(5), one(0.04), np.array([1.0]) * 1e6, 8.0)
    assert float(information[0]) <= 5.0


@pytest.mark.oracle("O33")
def test_most_probable_mean_of_two_days():
    # Derived: maximiser of the kernel product for days (20, 1) and (12, 0.5), k fixed at 8.
    sold, exposure = np.array([20.0, 12.0]), np.array([1.0, 0.5])

    def total(log_mean):
        return -float(np.sum(timed_log(sold, exposure, np.full(2, np.exp(log_mean)), 8.0)))

    best = optimize.minimize_scalar(total, bounds=(0, 6), method="bounded", options={"xatol": 1e-10})
    assert np.exp(best.x) == pytest.approx(21.76305, abs=1e-4)
    score, _ = timed_slope(sold, exposure, np.full(2, 21.76305), 8.0)
    assert float(score.sum()) == pytest.approx(0.0, abs=1e-5)


@pytest.mark.oracle("O28")
def test_poisson_days_add_up_sales_and_exposure():
    # Closed form: 32 sold in 1.5 days; the kernel becomes Poisson as k grows.
    sold, exposure = np.array([20.0, 12.0]), np.array([1.0, 0.5])
    score, _ = timed_slope(sold, exposure, np.full(2, 64 / 3), 1e9)
    assert float(score.sum()) == pytest.approx(0.0, abs=1e-6)
    assert float(sold.sum() / exposure.sum()) == pytest.approx(21.333333, abs=1e-6)


@pytest.mark.oracle("O29")
def test_prior_worth_one_day():
    # Closed form (a + Σy)/(b + Σe): 18 worth one day, then (20, 1) and (12, 0.5). A gamma prior of the rate
    # is the kernel of a day (18, 1) for Poisson days.
    sold, exposure = np.array([18.0, 20.0, 12.0]), np.array([1.0, 1.0, 0.5])
    score, _ = timed_slope(sold, exposure, np.full(3, 20.0), 1e9)
    assert float(score.sum()) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("least", "expected", "variance"),
    [
        # Derived by enumeration, negative binomial with mean 20, k 8.
        pytest.param(10, 21.138275, 60.167266, marks=pytest.mark.oracle("O34")),
        pytest.param(20, 26.930767, 39.291387, marks=pytest.mark.oracle("O35")),
        pytest.param(30, 35.258625, 27.907181, marks=pytest.mark.oracle("O36")),
    ],
)
def test_demand_given_that_it_was_at_least(least, expected, variance):
    tail = at_least(one(least), one(20.0), 8.0)
    assert float(tail.expected[0]) == pytest.approx(expected, abs=1e-5)
    assert float(tail.variance[0]) == pytest.approx(variance, abs=1e-4)


@pytest.mark.parametrize(("least", "mean", "k"), [(1, 3.0, 2.0), (15, 20.0, 8.0), (60, 20.0, 8.0), (300, 40.0, 5.5)])
def test_at_least_agrees_with_scipy(least, mean, k):
    tail = at_least(one(least), one(mean), k)
    step = 1e-4
    logs = [stats.nbinom.logsf(least - 1, k, k / (k + mean * np.exp(move))) for move in (-step, 0.0, step)]
    assert float(tail.log[0]) == pytest.approx(logs[1], rel=1e-8)
    assert float(tail.score[0]) == pytest.approx((logs[2] - logs[0]) / (2 * step), rel=1e-4)
    assert float(tail.information[0]) == pytest.approx(-(logs[2] - 2 * logs[1] + logs[0]) / step**2, rel=5e-2, abs=1e-3)


@pytest.mark.parametrize(
    ("sales", "expected", "naive"),
    [
        # Censored Poisson, sell-outs as ">=" (recomputed with scipy, as the catalogue states).
        pytest.param([(20, 1), (18, 0), (20, 1), (15, 0), (20, 1)], 20.845, 18.6, marks=pytest.mark.check("D17")),
        pytest.param([(10, 0), (10, 0), (10, 0)], 10.0, 10.0, marks=pytest.mark.check("D18")),
        pytest.param([(24, 1), (24, 1), (20, 0), (22, 0)], 24.446, 22.5, marks=pytest.mark.check("D19")),
        pytest.param(
            [(30, 1), (30, 1), (25, 0), (28, 0), (30, 1), (22, 0)], 29.468, 27.5, marks=pytest.mark.check("D20")
        ),
    ],
)
def test_days_of_unknown_time_count_as_at_least(sales, expected, naive):
    assert most_probable(sales) == pytest.approx(expected, abs=1e-3)
    assert np.mean([count for count, _ in sales]) == pytest.approx(naive, abs=1e-9)


def most_probable(sales):
    """The mean at which our score is 0: steady demand, days that ran out as at least what was sold."""
    sold = np.array([count for count, _ in sales], dtype=np.float64)
    ran_out = np.array([flag == 1 for _, flag in sales])
    steady = 1e7  # the negative binomial is then Poisson

    def score(mean):
        told, _ = timed_slope(sold[~ran_out], np.ones((~ran_out).sum()), np.full((~ran_out).sum(), mean), steady)
        floor = at_least(sold[ran_out], np.full(ran_out.sum(), mean), steady).score if ran_out.any() else np.zeros(0)
        return float(told.sum() + floor.sum())

    return optimize.brentq(score, 0.5, 400.0)


@pytest.mark.check("D21")
@given(
    told=st.lists(st.integers(1, 60), min_size=1, max_size=6),
    ran_out=st.lists(st.integers(1, 60), min_size=1, max_size=6),
)
def test_a_day_that_ran_out_lifts_the_estimate_above_the_plain_mean(told, ran_out):
    naive = float(np.mean([*told, *ran_out]))
    assert most_probable([(count, 0) for count in told]) == pytest.approx(np.mean(told), abs=1e-3)
    assert most_probable([*((count, 0) for count in told), *((count, 1) for count in ran_out)]) > naive


@pytest.mark.check("D21")
def test_all_days_sold_out_has_no_finite_estimate_of_its_own():
    # Theory: every mean higher than the last fits better; the score never reaches 0.
    least = np.array([20.0, 18.0, 25.0])
    scores = [float(at_least(least, np.full(3, mean), 8.0).score.sum()) for mean in (20.0, 100.0, 1000.0, 10000.0)]
    assert scores == sorted(scores, reverse=True)
    assert scores[-1] > 0
