"""The distribution of a day's demand against scipy: at a known mean, and averaged over an unknown one."""

import numpy as np
import pytest
from scipy import integrate, stats

from farmops.core.demand.predictive import HIGHEST_LOG_MEAN, LogMean, negative_binomial, predictive, quantile


def test_at_a_known_mean_it_is_the_negative_binomial():
    ours = negative_binomial(np.array([3.0, 40.0]), 5.5, 200)
    expected = [stats.nbinom.pmf(np.arange(201), 5.5, 5.5 / (5.5 + mean)) for mean in (3.0, 40.0)]
    np.testing.assert_allclose(ours, expected, atol=1e-13)


def test_averaged_over_the_log_mean_it_is_the_integral():
    eta, sd, k = np.log(20), 0.3, 8.0
    ours = predictive((LogMean(1.0, float(eta), sd),), k)
    for count in (0, 10, 20, 45):
        expected, _ = integrate.quad(
            lambda x, count=count: (
                stats.nbinom.pmf(count, k, k / (k + np.exp(x))) * stats.norm.pdf(x, eta, sd)  # the log mean's density
            ),
            eta - 8 * sd,
            eta + 8 * sd,
        )
        assert ours[count] == pytest.approx(expected, abs=1e-6)
    assert float(ours.sum()) == pytest.approx(1.0, abs=1e-12)


def test_two_weathers_are_mixed_by_their_chances():
    dry, wet = LogMean(1.0, float(np.log(20)), 0.2), LogMean(1.0, float(np.log(10)), 0.2)
    alone = [predictive((state,), 8.0) for state in (dry, wet)]
    both = predictive((LogMean(0.75, dry.eta, dry.sd), LogMean(0.25, wet.eta, wet.sd)), 8.0)
    means = [float(np.arange(one.size) @ one) for one in (*alone, both)]
    assert means[2] == pytest.approx(0.75 * means[0] + 0.25 * means[1], rel=1e-6)


def test_a_mean_beyond_all_stalls_still_gives_a_finite_table():
    table = predictive((LogMean(1.0, 60.0, 1.0),), 8.0)
    assert float(np.arange(table.size) @ table) == pytest.approx(np.exp(HIGHEST_LOG_MEAN), rel=0.05)


def test_a_quantile_is_the_first_count_that_reaches_the_share():
    table = np.array([0.25, 0.5, 0.25])
    assert [quantile(table, share) for share in (0.0, 0.25, 0.26, 0.75, 0.76, 1.0)] == [0, 0, 1, 1, 2, 2]
