"""What own plantings say against their schedule: against dense normal theory, a numerical optimum, and plain sense."""

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from farmops.core.growth import PLANTING_SPREAD, SCHEDULE_SPREAD, Slowness
from farmops.core.own_days import (
    FARM_SEASON,
    FARM_SPREAD,
    KNOTS,
    SEASON_REACH,
    VARIETY_SEASON,
    VARIETY_SPREAD,
    Measured,
    learn,
    with_stages_before,
)

SPRING = date(2026, 3, 20)


def seen(ratio, variety="mizuna", entered=SPRING, days=20.0, width=1e-6):
    """A stage that took so many times its scheduled days, seen to the second."""
    return Measured(variety, entered, days, days * ratio * (1 - width), days * ratio)


def shares(one):
    """How far each knot counts for the days a planting grew: straight lines between knots, averaged day by day."""
    found = np.zeros(KNOTS)
    for number in range(max(1, round(one.until))):
        at = ((one.entered + timedelta(days=number)).timetuple().tm_yday - 1) * KNOTS / 366
        left = math.floor(at)
        found[left % KNOTS] += left + 1 - at
        found[(left + 1) % KNOTS] += at - left
    return found / found.sum()


def likeness(always, season):
    days = np.arange(KNOTS) * 366 / KNOTS
    apart = np.abs(days[:, None] - days[None, :])
    return always**2 + season**2 * np.exp(-((np.minimum(apart, 366 - apart) / SEASON_REACH) ** 2) / 2)


def test_exact_days_are_pooled_as_dense_normal_theory_says():
    # Rasmussen and Williams 2006, equations 2.25 and 2.26, on all plantings at once, for the spread that was found.
    measured = [
        seen(1.2, "mizuna", date(2025, 9, 1)),
        seen(1.25, "mizuna", date(2025, 9, 20)),
        seen(1.02, "mizuna", date(2025, 4, 10)),
        seen(0.93, "kale", date(2025, 9, 5), days=40),
        seen(0.9, "kale", date(2025, 12, 20), days=40),
    ]
    found = learn(measured, ["chard"])
    rows = np.array([shares(one) for one in measured])
    logs = np.array([math.log(one.until / one.scheduled) for one in measured])
    own = np.array([[one.variety == other.variety for other in measured] for one in measured])
    farm, variety = likeness(FARM_SPREAD, FARM_SEASON), likeness(VARIETY_SPREAD, VARIETY_SEASON)
    noise = found["kale"].spread ** 2 * np.eye(len(measured))
    all_alike = rows @ farm @ rows.T + own * (rows @ variety @ rows.T) + noise
    for name in ("mizuna", "kale", "chard"):
        with_all = farm @ rows.T + np.array([one.variety == name for one in measured]) * (variety @ rows.T)
        mean = with_all @ np.linalg.solve(all_alike, logs)
        known = farm + variety - with_all @ np.linalg.solve(all_alike, with_all.T)
        assert found[name].log_means == pytest.approx(mean, abs=1e-5)
        assert found[name].log_spreads == pytest.approx(np.sqrt(np.diag(known)), abs=1e-5)
    assert [found[name].plantings for name in ("mizuna", "kale", "chard")] == [3, 2, 0]


def test_days_between_limits_find_the_greatest_posterior_density():
    measured = [
        Measured("mizuna", SPRING, 20, 18, 22),
        Measured("mizuna", SPRING + timedelta(days=20), 20, 0, 19),
        Measured("mizuna", SPRING + timedelta(days=40), 20, 23, math.inf),
        Measured("mizuna", SPRING + timedelta(days=60), 20, 10, 24, since=20.5, chance=0.3),
    ]
    found = learn(measured)["mizuna"]
    rows = np.array([shares(one) for one in measured[:2]])
    third = shares(Measured("mizuna", measured[2].entered, 20, 0, 23))
    rows = np.array([*rows, third, shares(measured[3])])
    rows[1] = shares(Measured("mizuna", measured[1].entered, 20, 0, 19))
    prior = np.linalg.cholesky(likeness(FARM_SPREAD, FARM_SEASON) + likeness(VARIETY_SPREAD, VARIETY_SEASON))

    def against(white):
        usual = rows @ prior @ white

        def below(one, days):
            return stats.norm.cdf(math.log(days / 20), usual[one], found.spread)

        told = [
            below(0, 22) - below(0, 18),
            below(1, 19),
            1 - below(2, 23),
            0.3 * (below(3, 20.5) - below(3, 10)) + below(3, 24) - below(3, 20.5),
        ]
        return -sum(math.log(one) for one in told) + white @ white / 2

    best = optimize.minimize(against, np.zeros(KNOTS), method="BFGS")
    assert found.log_means == pytest.approx(prior @ best.x, abs=2e-3)


def test_few_plantings_move_little_and_many_move_much():
    factors = [learn([seen(1.2)] * count)["mizuna"].factor_on(SPRING) for count in (1, 3, 30)]
    assert 1.05 < factors[0] < factors[1] < factors[2] < 1.2
    assert factors[2] == pytest.approx(1.2, abs=0.01)


def test_nothing_known_is_the_schedule_with_its_spread():
    found = learn([], ["kale"])["kale"]
    assert found.log_means == pytest.approx([0.0] * KNOTS)
    assert found.log_spreads == pytest.approx([SCHEDULE_SPREAD] * KNOTS)
    assert (found.plantings, found.spread) == (0, PLANTING_SPREAD)
    assert learn([]) == {}


def test_what_is_slow_in_autumn_is_learned_of_autumn():
    spring = [seen(1.0, entered=date(2025, month, day)) for month in (3, 4, 5, 6) for day in (1, 15)]
    autumn = [seen(1.2, entered=date(2025, 9, day)) for day in (1, 5, 10, 15, 20, 25)]
    found = learn([*spring, *autumn])["mizuna"]
    assert found.factor_on(date(2026, 9, 20)) == pytest.approx(1.2, abs=0.05)
    assert found.factor_on(date(2026, 5, 1)) == pytest.approx(1.0, abs=0.02)


def test_a_variety_without_plantings_is_told_of_the_others():
    slow = learn([seen(1.2, f"variety {number}") for number in range(8)], ["new"])["new"]
    assert 1.03 < slow.factor_on(SPRING) < 1.15
    assert slow.plantings == 0


def test_what_was_ready_long_before_it_was_cut_says_nothing():
    (loose,) = learn([Measured("mizuna", SPRING, 20, 0, 60)] * 5).values()
    assert loose.log_means == pytest.approx([0.0] * KNOTS, abs=1e-3)
    assert loose.log_spreads == pytest.approx([SCHEDULE_SPREAD] * KNOTS, abs=1e-3)


@pytest.mark.parametrize("true", [0.05, 0.10, 0.16])
def test_the_spread_of_plantings_is_learned_too(true):
    rng = np.random.default_rng(7)
    luck = true * rng.standard_normal(150)
    measured = [
        seen(math.exp(one), f"variety {at % 5}", SPRING + timedelta(days=2 * at)) for at, one in enumerate(luck)
    ]
    usual = math.sqrt((5 * PLANTING_SPREAD**2 + 150 * np.var(luck)) / 155)  # the assumed one counts for five
    assert learn(measured)["variety 0"].spread == pytest.approx(usual, rel=0.05)


def test_stages_before_the_last_keep_a_pace_of_their_own():
    own = with_stages_before({"mizuna": Slowness((0.1,))}, {"mizuna": Slowness((0.3,)), "kale": Slowness()})["mizuna"]
    assert own.factors(3) == pytest.approx((math.exp(0.3), math.exp(0.3), math.exp(0.1)))


@given(
    st.lists(
        st.tuples(st.dates(date(2025, 1, 1), date(2026, 12, 31)), st.floats(0.5, 2.0), st.floats(0.01, 0.9)),
        min_size=1,
        max_size=6,
    )
)
def test_whatever_was_noted_the_pace_stays_between_the_schedule_and_what_was_seen(rows):
    measured = [Measured("mizuna", day, 20, 20 * ratio * (1 - width), 20 * ratio) for day, ratio, width in rows]
    found = learn(measured)["mizuna"]
    low, high = min(one.after / 20 for one in measured), max(one.until / 20 for one in measured)
    assert all(min(low, 1.0) * 0.93 <= math.exp(mean) <= max(high, 1.0) * 1.07 for mean in found.log_means)
    assert all(0 < spread <= SCHEDULE_SPREAD + 1e-9 for spread in found.log_spreads)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ((0.0, 0.0, 10.0), "scheduled days"),
        ((math.nan, 0.0, 10.0), "scheduled days"),
        ((20.0, 10.0, 10.0), "until a later one"),
        ((20.0, -1.0, 10.0), "until a later one"),
    ],
)
def test_what_cannot_be_is_refused(days, words):
    with pytest.raises(ValueError, match=words):
        Measured("mizuna", SPRING, *days)
    with pytest.raises(ValueError, match="a chance"):
        Measured("mizuna", SPRING, 20, 0, 20, chance=1.5)
