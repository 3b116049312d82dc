"""Special functions against scipy."""

import numpy as np
import pytest
from scipy import special

from farmops.core.demand.special import beta_share, gauss_hermite, log_gamma


def test_log_gamma_agrees_with_scipy():
    x = np.array([0.01, 0.5, 1.0, 2.5, 8.0, 9.999, 10.0, 57.25, 1234.5, 2e6])
    np.testing.assert_allclose(log_gamma(x), special.gammaln(x), rtol=1e-13, atol=1e-13)


@pytest.mark.parametrize("x", [1e-6, 0.05, 0.3, 0.7142857, 0.95, 0.999])
def test_beta_share_agrees_with_scipy(x):
    a = np.array([1.0, 3.0, 15.0, 60.0, 400.0])
    b = np.array([0.5, 8.0, 8.0, 2.5, 40.0])
    np.testing.assert_allclose(beta_share(a, b, x), special.betainc(a, b, x), rtol=1e-9, atol=1e-300)


def test_gauss_hermite_averages_over_a_standard_normal():
    at, weights = gauss_hermite(9)
    # E[z²] = 1, E[z⁴] = 3, E[e^z] = e^(1/2).
    assert float(weights.sum()) == pytest.approx(1.0, abs=1e-14)
    assert float(weights @ at**2) == pytest.approx(1.0, abs=1e-12)
    assert float(weights @ at**4) == pytest.approx(3.0, abs=1e-11)
    assert float(weights @ np.exp(at)) == pytest.approx(np.exp(0.5), rel=1e-7)
