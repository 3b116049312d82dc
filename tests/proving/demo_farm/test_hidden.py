"""The hidden world: its draws have the moments they claim, its crowds the shapes they claim."""

import math
from datetime import date
from statistics import fmean, pvariance

import pytest
from scipy import integrate

from farmops.proving.demo_farm import hidden
from farmops.proving.demo_farm.facts import ITEM, LATITUDE, SATURDAY, VARIETY, WEDNESDAY


def test_streams_depend_on_their_names_alone():
    first = hidden.stream("a", 1).random()
    hidden.stream("b", 2).random()
    assert hidden.stream("a", 1).random() == first
    assert hidden.stream("a", 2).random() != first


# Bounds are five standard errors of 4,000 draws.
def test_draws_have_the_moments_they_claim():
    rng = hidden.stream("moments")
    normals = [hidden.normal(rng) for _ in range(4000)]
    gammas = [hidden.gamma_mean_one(rng, 12) for _ in range(4000)]
    counts = [hidden.poisson(rng, 7.5) for _ in range(4000)]
    lived = [hidden.survivors(rng, 40, 0.9) for _ in range(4000)]
    assert fmean(normals) == pytest.approx(0, abs=5 / math.sqrt(4000))
    assert pvariance(normals) == pytest.approx(1, abs=5 * math.sqrt(2 / 4000))
    assert fmean(gammas) == pytest.approx(1, abs=5 * math.sqrt(1 / 12 / 4000))
    assert pvariance(gammas) == pytest.approx(1 / 12, rel=0.15)
    assert fmean(counts) == pytest.approx(7.5, abs=5 * math.sqrt(7.5 / 4000))
    assert pvariance(counts) == pytest.approx(7.5, rel=0.12)
    assert fmean(lived) == pytest.approx(36, abs=5 * math.sqrt(3.6 / 4000))


@pytest.mark.parametrize("day", [date(2026, 6, 21), date(2026, 9, 7), date(2026, 12, 21)])
def test_light_is_the_sun_s_height_added_up_over_the_day(day):
    # scipy's quadrature of the sine of the sun's height, at every hour angle above the horizon.
    def of(of_year: int) -> float:
        tilt = math.radians(23.44) * math.sin(2 * math.pi * (of_year - 80) / 365)
        north = math.radians(LATITUDE)

        def height(angle: float) -> float:
            sine = math.sin(north) * math.sin(tilt) + math.cos(north) * math.cos(tilt) * math.cos(angle)
            return max(0.0, sine)

        return integrate.quad(height, -math.pi, math.pi, limit=400)[0]

    expected = of(day.timetuple().tm_yday) / of(80)
    assert hidden.light(day) == pytest.approx(expected, rel=1e-4)


def test_growth_is_fast_in_june_and_slow_in_december():
    variety = VARIETY["green butterhead"]
    june = fmean(hidden.pace(date(2026, 6, day), variety) for day in range(1, 31))
    december = fmean(hidden.pace(date(2026, 12, day), variety) for day in range(1, 31))
    assert (june > 1.15, december < 0.75) == (True, True)


def test_saturday_comes_early_and_wednesday_after_work():
    def share_in_first_half(market, days):
        minutes = [minute for day in days for minute, _units in hidden.customers(day, market, "sweet basil")]
        assert all(market.opens <= minute <= market.closes for minute in minutes)
        return fmean(minute < (market.opens + market.closes) / 2 for minute in minutes)

    saturdays = [date(2026, 7, day) for day in (11, 18, 25)]
    wednesdays = [date(2026, 7, day) for day in (8, 15, 22)]
    assert share_in_first_half(SATURDAY, saturdays) > 0.6
    assert share_in_first_half(WEDNESDAY, wednesdays) < 0.5


def test_rain_and_price_keep_people_away_as_written():
    day = date(2026, 8, 15)
    wet, dry = (hidden.usual_wish(day, SATURDAY, "sweet basil", rain) for rain in (True, False))
    assert wet / dry == pytest.approx(0.68)
    rise = hidden.usual_wish(date(2026, 6, 17), WEDNESDAY, "salad mix bag", False)
    before = hidden.usual_wish(date(2026, 6, 16), WEDNESDAY, "salad mix bag", False)
    # 5.00 to 5.50 at elasticity -0.9; a day of season is worth a per cent at most.
    assert rise / before == pytest.approx(1.1**-0.9, rel=0.01)


def test_every_item_has_its_hidden_figures():
    assert set(hidden.BASE) == set(ITEM) == set(hidden.LIKED)
