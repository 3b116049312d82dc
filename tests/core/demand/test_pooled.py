"""The arrow-shaped Newton step against a plain optimiser and a plain inverse."""

import numpy as np
import pytest
from scipy import optimize

from farmops.core.demand.factors import Priors
from farmops.core.demand.kernel import at_least, timed_log
from farmops.core.demand.pooled import Coefficients, Table, log_means, newton_step, slopes

ITEMS, OWN, SHARED, K = 3, 2, 3, 7.0


def small() -> tuple[Table, Priors, np.ndarray]:
    """Three items of six days, two own and three shared columns, two days of unknown time."""
    rng = np.random.default_rng(8)
    n = 6 * ITEMS
    untimed = np.zeros(n, dtype=bool)
    untimed[[2, 13]] = True
    table = Table(
        own=np.column_stack([np.ones(n), rng.normal(0, 1, n)]),
        shared=np.column_stack([np.ones(n), rng.integers(0, 2, n), rng.normal(0, 1, n)]),
        item=np.repeat(np.arange(ITEMS), 6),
        bounds=np.arange(0, n + 1, 6),
        sold=rng.poisson(15, n).astype(np.float64),
        is_untimed=untimed,
        weight=rng.uniform(0.4, 1.0, n),
        offset=rng.normal(0, 0.1, n),
    )
    priors = Priors(np.array([0.7, 0.3]), np.array([2.5, 0.0, -0.2]), np.array([2.0, 0.5, 0.4]))
    return table, priors, np.where(untimed, 1.0, rng.uniform(0.3, 1.0, n))


def unpack(at: np.ndarray) -> Coefficients:
    return Coefficients(at[: ITEMS * OWN].reshape(ITEMS, OWN), at[ITEMS * OWN :])


def minus_log_posterior(at: np.ndarray) -> float:
    table, priors, exposure = small()
    values = unpack(at)
    mean = np.exp(log_means(table, values))
    told = timed_log(table.sold, exposure, mean, K)
    told[table.is_untimed] = at_least(table.sold[table.is_untimed], mean[table.is_untimed], K).log
    prior = np.sum((values.own / priors.own_sd) ** 2)
    prior += np.sum(((values.shared - priors.shared_mean) / priors.shared_sd) ** 2)
    return float(-np.sum(table.weight * told) + 0.5 * prior)


def test_newton_reaches_the_plain_optimum_and_its_curvature():
    table, priors, exposure = small()
    values = Coefficients(np.zeros((ITEMS, OWN)), priors.shared_mean.copy())
    for _ in range(40):
        slope = slopes(table, log_means(table, values), exposure, K)
        values, covariance, moved = newton_step(table, values, priors, slope)
        if moved < 1e-12:
            break
    best = optimize.minimize(minus_log_posterior, np.zeros(ITEMS * OWN + SHARED), method="BFGS", tol=1e-9)
    np.testing.assert_allclose(np.concatenate([values.own.ravel(), values.shared]), best.x, atol=2e-5)
    plain = np.linalg.inv(curvature(best.x))
    for item in range(ITEMS):
        own, shared = np.array([1.0, 0.5]), np.array([1.0, 0.0, -0.3])
        whole = np.zeros(ITEMS * OWN + SHARED)
        whole[item * OWN : (item + 1) * OWN] = own
        whole[ITEMS * OWN :] = shared
        assert covariance.variance(item, own, shared) == pytest.approx(whole @ plain @ whole, rel=1e-3)
    rows = covariance.variances(table)
    assert rows[4] == pytest.approx(covariance.variance(0, table.own[4], table.shared[4]), rel=1e-12)


def curvature(at: np.ndarray) -> np.ndarray:
    """Matrix of second differences of the log posterior."""
    step, size = 1e-3, at.size
    matrix = np.zeros((size, size))
    for row in range(size):
        for column in range(size):
            ends = []
            for one, other in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
                moved = at.copy()
                moved[row] += one * step
                moved[column] += other * step
                ends.append(minus_log_posterior(moved))
            matrix[row, column] = (ends[0] - ends[1] - ends[2] + ends[3]) / (4 * step**2)
    return matrix
