"""The demand of one item on one market day to come, as a distribution."""

from dataclasses import dataclass

import numpy as np

from farmops.core.demand.factors import (
    LEVEL_SD,
    LIKENESS_SD,
    MARKET_OF_ITEM_SD,
    MARKET_SD,
    Cell,
    columns,
)
from farmops.core.demand.fitting import Fit
from farmops.core.demand.kernel import timed_slope
from farmops.core.demand.learning import Learned
from farmops.core.demand.predictive import LogMean, predictive, quantile
from farmops.core.demand.records import Ask
from farmops.core.demand.simple import K as SIMPLE_K
from farmops.core.demand.special import FloatArray

FEW_DAYS = 3
WANDER_FADES = 16.0  # weeks ahead after which half of what wandered is expected to be left
NORMAL_90 = 1.2815515655446004


@dataclass(frozen=True, slots=True)
class Evidence:
    """How many days stand behind a forecast.

    Attributes
    ----------
    days, ran_out, timed, untimed : int
        Of the item at this market: all, those that ran out, with and without a time.
    item_days : int
        Of the item at any market.
    effective_days : float
        What they weigh together, as full days that did not run out; old days and days soon gone weigh less.
    most_brought : int
        Of the item on any of its days, with what was carried in. [steps]
    """

    days: int
    ran_out: int
    timed: int
    untimed: int
    item_days: int
    effective_days: float
    most_brought: int


@dataclass(frozen=True, slots=True)
class Forecast:
    """Demand of one item on one market day.

    Attributes
    ----------
    mean : float
        The usual demand of such a day (centre of what is believed). [steps]
    median, low, high : int
        50, 10 and 90 % of the demand of one day. [steps]
    mean_low, mean_high : float
        The usual demand lies between them with 80 %. [steps]
    sd_log_mean : float
        Standard deviation of its logarithm.
    probabilities : (m,) float
        P(D = d).
    k : float
        Shape of the day-to-day spread.
    evidence : Evidence
    origin : str
        "history", "few days", "guess" or "similar items".
    simple_mean : float
        What the fall-back says. [steps]
    is_pooled : bool
        False: the fall-back answers because the pooled fit failed.
    """

    mean: float
    median: int
    low: int
    high: int
    mean_low: float
    mean_high: float
    sd_log_mean: float
    probabilities: FloatArray
    k: float
    evidence: Evidence
    origin: str
    simple_mean: float
    is_pooled: bool


def forecast(learned: Learned, ask: Ask) -> Forecast:
    """Forecast one item for one market day.

    Parameters
    ----------
    learned : Learned
    ask : Ask
        A day weeks ahead is less sure; the season then does the work.

    Returns
    -------
    Forecast

    Raises
    ------
    ValueError
        If a chance or a loss of the ask is out of its range.
    """
    _check(ask)
    evidence = _evidence(learned, ask)
    guess = learned.guesses.get((ask.market, ask.item), ask.guess)
    chances = _weather_chances(learned, ask)
    rain_chance = sum(chance for chance, rain in chances if rain > 0)
    simple_mean, simple_sd = learned.simple.forecast(ask.market, ask.item, ask.category, rain_chance)
    if learned.fit is None:
        k = SIMPLE_K
        states: tuple[LogMean, ...] = (LogMean(1.0, float(np.log(simple_mean)), simple_sd),)
    else:
        k = learned.fit.k
        states = tuple(_state(learned, learned.fit, ask, chance, rain) for chance, rain in chances)
    if guess is not None and (ask.market, ask.item) not in learned.guesses:
        states = tuple(_with_guess(state, guess, k) for state in states)
    probabilities = predictive(states, k)
    eta = float(np.log(sum(state.chance * np.exp(state.eta) for state in states)))
    sd = max(state.sd for state in states)
    return Forecast(
        mean=float(np.exp(eta)),
        median=quantile(probabilities, 0.5),
        low=quantile(probabilities, 0.1),
        high=quantile(probabilities, 0.9),
        mean_low=float(np.exp(eta - NORMAL_90 * sd)),
        mean_high=float(np.exp(eta + NORMAL_90 * sd)),
        sd_log_mean=sd,
        probabilities=probabilities,
        k=k,
        evidence=evidence,
        origin=_origin(evidence, guess),
        simple_mean=simple_mean,
        is_pooled=learned.fit is not None,
    )


def _check(ask: Ask) -> None:
    if not 0.0 <= ask.carry_loss <= 1.0:
        raise ValueError(f"the share lost when carried must lie between 0 and 1, got {ask.carry_loss}")
    if ask.rain_chance is not None and not 0.0 <= ask.rain_chance <= 1.0:
        raise ValueError(f"the chance of rain must lie between 0 and 1, got {ask.rain_chance}")
    if ask.guess is not None and ask.guess < 0:
        raise ValueError(f"a guess must be 0 or more, got {ask.guess}")


def _weather_chances(learned: Learned, ask: Ask) -> list[tuple[float, float]]:
    """(chance, rain) of the day's possible weathers."""
    if ask.weather in {"rain", "dry"}:
        return [(1.0, 1.0 if ask.weather == "rain" else 0.0)]
    chance = learned.layout.rain_share if ask.rain_chance is None else ask.rain_chance
    return [(part, rain) for part, rain in ((1.0 - chance, 0.0), (chance, 1.0)) if part > 0]


def _state(learned: Learned, fit: Fit, ask: Ask, chance: float, rain: float) -> LogMean:
    layout = learned.layout
    usual = layout.usual_price.get(ask.item, 0.0)
    log_price = float(np.log(ask.price / usual)) if usual > 0 and ask.price > 0 else 0.0
    cell = Cell(ask.day, ask.market, ask.item, ask.category, rain, log_price)
    own_rows, shared_rows = columns([cell], layout)
    own, shared = own_rows[0], shared_rows[0]
    weeks_ahead = max((ask.day - learned.as_of).days / 7, 0.0)
    fades = 0.5 ** (max(weeks_ahead - 1.0, 0.0) / WANDER_FADES)
    own[layout.own_wander] *= fades
    shared[layout.shared_wander] *= fades
    item = layout.items.index(ask.item) if ask.item in layout.category_of else None
    eta = float(shared @ fit.values.shared)
    variance = fit.covariance.variance(item, own, shared)
    if item is None:
        variance += LEVEL_SD**2
        if ask.category not in layout.categories:
            variance += LIKENESS_SD**2
    else:
        eta += float(own @ fit.values.own[item])
    if ask.market not in layout.markets:
        variance += MARKET_SD**2 + MARKET_OF_ITEM_SD**2
    else:
        variance += float(fit.crowd_variance[layout.markets.index(ask.market)]) + (item is None) * MARKET_OF_ITEM_SD**2
    variance += (fit.wander[0] ** 2 + fit.wander[1] ** 2) * weeks_ahead
    return LogMean(chance, eta, float(np.sqrt(max(variance, 1e-12))))


def _with_guess(state: LogMean, guess: float, k: float) -> LogMean:
    """One full day with the guessed demand, added to what is believed (Newton's method in one variable)."""
    prior = 1.0 / max(state.sd**2, 1e-9)
    eta, sold, whole = state.eta, np.array([guess]), np.ones(1)
    information = prior
    for _ in range(20):
        score, told = timed_slope(sold, whole, np.exp(np.array([eta])), k)
        information = prior + float(told[0])
        move = (float(score[0]) - prior * (eta - state.eta)) / information
        eta += max(min(move, 1.0), -1.0)
    return LogMean(state.chance, eta, float(np.sqrt(1.0 / information)))


def _origin(evidence: Evidence, guess: float | None) -> str:
    if evidence.item_days >= FEW_DAYS:
        return "history"
    if evidence.item_days > 0:
        return "few days"
    return "guess" if guess is not None else "similar items"


def _evidence(learned: Learned, ask: Ask) -> Evidence:
    of_item = learned.of_item.get(ask.item, ())
    here = [day for day in of_item if day.record.market == ask.market]
    ran_out = [day for day in here if day.ran_out]
    untimed = sum(day.is_untimed for day in ran_out)
    return Evidence(
        days=len(here),
        ran_out=len(ran_out),
        timed=len(ran_out) - untimed,
        untimed=untimed,
        item_days=len(of_item),
        effective_days=learned.effective_days.get((ask.market, ask.item), 0.0),
        most_brought=max((day.record.brought + day.record.carried_in for day in of_item), default=0),
    )
