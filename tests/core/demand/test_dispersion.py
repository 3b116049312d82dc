"""The spread from day to day against a plain optimiser and drawn counts."""

import numpy as np
import pytest
from scipy import optimize, stats

from farmops.core.demand.dispersion import LOG_K_MEAN, LOG_K_SD, improve_k, log_posterior


def given(k: float, n: int, seed: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    mean = rng.uniform(5, 40, n)
    sold = rng.poisson(mean * rng.gamma(k, 1 / k, n)).astype(np.float64)
    zero = np.zeros(n)
    return {
        "sold": sold,
        "exposure": np.ones(n),
        "mean": mean,
        "is_untimed": np.zeros(n, dtype=bool),
        "weight": np.ones(n),
        "leverage": zero,
    }


def settled(days: dict[str, np.ndarray]) -> float:
    k = 8.0
    for _ in range(60):
        k = improve_k(k, **days)
    return k


def test_steps_end_at_the_most_probable_k():
    days = given(4.0, 300, 1)
    days["is_untimed"][:40] = True
    days["sold"][:40] = np.maximum(days["sold"][:40], 1)
    best = optimize.minimize_scalar(
        lambda log_k: -log_posterior(log_k, **days), bounds=(-0.6, 5.0), method="bounded", options={"xatol": 1e-9}
    )
    assert settled(days) == pytest.approx(float(np.exp(best.x)), rel=1e-3)


def test_full_days_are_plain_negative_binomials():
    days = given(6.0, 200, 2)

    def plain(log_k: float) -> float:
        k = np.exp(log_k)
        likelihood = stats.nbinom.logpmf(days["sold"], k, k / (k + days["mean"])).sum()
        return float(likelihood - 0.5 * ((log_k - LOG_K_MEAN) / LOG_K_SD) ** 2)

    ours = [log_posterior(at, **days) for at in (1.0, 2.0)]
    assert ours[1] - ours[0] == pytest.approx(plain(2.0) - plain(1.0), abs=1e-7)


def test_k_of_drawn_counts_is_found_again():
    assert settled(given(3.0, 4000, 3)) == pytest.approx(3.0, rel=0.1)


def test_means_that_follow_their_days_do_not_make_demand_look_steady():
    days = given(4.0, 200, 4)
    days["mean"] = 0.5 * days["mean"] + 0.5 * np.maximum(days["sold"], 1)
    plain = settled(days)
    days["leverage"] = np.full(200, 0.5)
    assert settled(days) < plain
