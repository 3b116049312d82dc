"""What to bring: a whole number for each ask, with the facts behind it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from farmops.core.demand.carrying import Carrying, carry_value
from farmops.core.demand.forecasting import FEW_DAYS, Forecast, forecast
from farmops.core.demand.learning import Learned
from farmops.core.demand.quantity import Worth, best_quantity, critical_ratio, expected_profit, expected_sold
from farmops.core.demand.records import Ask

CAP_TIMES = 3  # of the most ever brought, only while fewer than three days are known
WEEKDAYS_SEEN = 8  # a market's usual weekday is the commonest of its last eight days


@dataclass(frozen=True, slots=True)
class Reason:
    """The facts a sentence can be made of.

    Attributes
    ----------
    code : str
        "nothing to earn", "capped", "fall-back", "similar items", "guess", "few days", "other markets",
        "hardly sells", "mostly untimed", "often ran out", "sometimes ran out" or "never ran out".
    mean, mean_low, mean_high : float
        Usual demand and its 80 % range. [steps]
    days, ran_out, timed, untimed : int
        Of the item at this market.
    critical_ratio : float in [0, 1]
        Share of days the quantity is meant to last.
    carried_in : int
        [steps]
    weather : str
        As asked.
    cap : int or None
        Most that few days allow, where it bound. [steps]
    carry_use : float or None
        Chance that a leftover saves one next time; None where nothing is carried over.
    most_brought, total : int
        On the item's best stocked day; on the table by this advice. [steps]
    """

    code: str
    mean: float
    mean_low: float
    mean_high: float
    days: int
    ran_out: int
    timed: int
    untimed: int
    critical_ratio: float
    carried_in: int
    weather: str
    cap: int | None
    carry_use: float | None
    most_brought: int
    total: int


@dataclass(frozen=True, slots=True)
class Advice:
    """What to bring of one item to one market day.

    Attributes
    ----------
    ask : Ask
    forecast : Forecast
    fresh : int, >= 0
        To pick and bring beyond what is carried in. [steps]
    total : int, >= 0
        On the table. [steps]
    critical_ratio : float in [0, 1]
    leftover_worth : float
        What one leftover counts for, carrying over included. [money per step]
    sold, left : float
        Expected. [steps]
    profit : float
        Expected, what is carried in being paid for already. [money]
    reason : Reason
    """

    ask: Ask
    forecast: Forecast
    fresh: int
    total: int
    critical_ratio: float
    leftover_worth: float
    sold: float
    left: float
    profit: float
    reason: Reason


def advise_all(learned: Learned, asks: Iterable[Ask]) -> list[Advice]:
    """Advice for each ask, in their order; no answer depends on the other asks."""
    return [advise(learned, ask) for ask in asks]


def advise(learned: Learned, ask: Ask) -> Advice:
    """What to bring for one ask.

    Parameters
    ----------
    learned : Learned
    ask : Ask

    Returns
    -------
    Advice

    Raises
    ------
    ValueError
        If a chance, a loss or a guess of the ask is out of its range.
    """
    seen = forecast(learned, ask)
    carrying = _carrying(learned, ask, seen) if ask.shelf_markets > 1 else None
    leftover = carrying.value if carrying else ask.leftover_value
    leftovers: tuple[tuple[int, float], ...] = ((0, leftover),)
    if ask.box_need > 0 and ask.box_value > leftover:
        leftovers = ((ask.box_need, ask.box_value), (0, leftover))
    worth = Worth(ask.price, ask.unit_cost, leftovers)
    total = best_quantity(seen.probabilities, worth)
    cap = _cap(seen, ask)
    is_capped = cap is not None and total > cap
    if cap is not None:
        total = min(total, cap)
    fresh = max(0, total - ask.carried_in)
    stock = fresh + ask.carried_in
    sold = expected_sold(seen.probabilities)
    at = min(stock, sold.size - 1)
    profit = float(expected_profit(seen.probabilities, worth)[at]) + leftover * (stock - at)
    ratio = critical_ratio(ask.price, ask.unit_cost, leftover)
    return Advice(
        ask=ask,
        forecast=seen,
        fresh=fresh,
        total=stock,
        critical_ratio=ratio,
        leftover_worth=leftover,
        sold=float(sold[at]),
        left=stock - float(sold[at]),
        profit=profit + ask.unit_cost * ask.carried_in,
        reason=_reason(seen, ask, ratio, cap if is_capped else None, carrying.use if carrying else None, stock),
    )


def _cap(seen: Forecast, ask: Ask) -> int | None:
    """Few days may not send anybody out with many times what was ever brought; no lasting cap."""
    days = seen.evidence.item_days
    if days == 0 or days >= FEW_DAYS:
        return None
    return CAP_TIMES * max(seen.evidence.most_brought, int(np.ceil(ask.guess or 0.0)))


def _carrying(learned: Learned, ask: Ask, seen: Forecast) -> Carrying:
    after = forecast(learned, next_market(learned, ask))
    return carry_value(
        seen.probabilities,
        after.probabilities,
        price=ask.price,
        unit_cost=ask.unit_cost,
        leftover_value=ask.leftover_value,
        loss=ask.carry_loss,
    )


def next_market(learned: Learned, ask: Ask) -> Ask:
    """The market day after this one where the item is sold, by the usual weekdays; weather unknown."""
    last_days: dict[str, set[date]] = {ask.market: {ask.day}}
    for day in learned.of_item.get(ask.item, ()):
        last_days.setdefault(day.record.market, set()).add(day.record.day)
    latest = max((max(days) for market, days in last_days.items()), default=ask.day)
    coming: list[tuple[date, str]] = []
    for market, days in sorted(last_days.items()):
        recent = sorted(days)[-WEEKDAYS_SEEN:]
        if (latest - recent[-1]).days > 7 * WEEKDAYS_SEEN:
            continue
        weekdays = [day.weekday() for day in recent]
        usual = max(sorted(set(weekdays)), key=weekdays.count)
        ahead = (usual - ask.day.weekday()) % 7 or 7
        coming.append((ask.day + timedelta(days=ahead), market))
    when, market = min(coming)
    return replace(ask, day=when, market=market, weather="", rain_chance=None)


def _reason(seen: Forecast, ask: Ask, ratio: float, cap: int | None, carry_use: float | None, total: int) -> Reason:
    evidence = seen.evidence
    return Reason(
        code=_code(seen, ratio, cap),
        mean=seen.mean,
        mean_low=seen.mean_low,
        mean_high=seen.mean_high,
        days=evidence.days,
        ran_out=evidence.ran_out,
        timed=evidence.timed,
        untimed=evidence.untimed,
        critical_ratio=ratio,
        carried_in=ask.carried_in,
        weather=ask.weather,
        cap=cap,
        carry_use=carry_use,
        most_brought=evidence.most_brought,
        total=total,
    )


def _code(seen: Forecast, ratio: float, cap: int | None) -> str:
    evidence = seen.evidence
    if ratio <= 0:
        return "nothing to earn"
    if cap is not None:
        return "capped"
    if not seen.is_pooled:
        return "fall-back"
    if seen.origin != "history":
        return seen.origin
    if evidence.days == 0:
        return "other markets"
    if evidence.days >= FEW_DAYS and seen.mean < 1.5:
        return "hardly sells"
    if evidence.untimed * 2 > max(evidence.days, 1):
        return "mostly untimed"
    if evidence.ran_out * 2 > max(evidence.days, 1):
        return "often ran out"
    return "sometimes ran out" if evidence.ran_out else "never ran out"
