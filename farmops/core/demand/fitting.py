"""Fit the pooled model: means, profiles, spread from day to day and wandering in turn."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from farmops.core.demand.crowds import (
    LEAST_TIMED,
    CrowdEvidence,
    Crowds,
    default_crowds,
    improve_crowds,
    prior_precision,
    trust_in_times,
    unlearned_covariance,
)
from farmops.core.demand.dispersion import LEAST_K, MOST_K, improve_k
from farmops.core.demand.exposure import DayArrays, DaySeen, Spell, day_arrays
from farmops.core.demand.factors import (
    WANDER_FARM_SD,
    WANDER_ITEM_SD,
    Cell,
    Layout,
    Priors,
    cell_of,
    columns,
    priors_of,
    with_wander,
)
from farmops.core.demand.pooled import Coefficients, Covariance, Slopes, Table, log_means, newton_step, slopes
from farmops.core.demand.profile import DEFAULT_PROFILE
from farmops.core.demand.records import MarketRecord
from farmops.core.demand.special import FloatArray

FIRST_K = 8.0
WANDER_PRIOR = 8.0  # stretches that the first idea of wandering counts for
MOST_ROUNDS = 24
LEAST_PACE, MOST_PACE, LONGEST_PACE = 0.3, 4.0, 1.5  # of plain steps of log k; the longest in log k
CLOSE_ENOUGH = 2e-3  # of a log mean, of log k
CROWD_CLOSENESS = 0.1  # a twentieth of the day may still move ten times as much: it hardly moves a mean


@dataclass(frozen=True, slots=True)
class Fit:
    """The pooled model, fitted.

    Attributes
    ----------
    table : Table
        All days (guesses last within their item), for looking back.
    rows : tuple of DaySeen
        The rows of the table.
    is_real : tuple of bool
        False: a guess.
    arrays : DayArrays
    market : (n,) int
        Column of each row's market.
    crowds : Crowds
        When the customers of each market come.
    crowd_variance : (markets,) float
        What not knowing that adds to the variance of the market's log means.
    crowd_covariance : (21 markets, 21 markets) float
        Of the log rates of all markets, then of those shifts.
    k : float
        Shape of the day-to-day spread.
    wander : (float, float)
        How far the farm and an item wander in a week, on the log scale.
    values, covariance
        Of all columns.
    """

    table: Table
    rows: tuple[DaySeen, ...]
    is_real: tuple[bool, ...]
    arrays: DayArrays
    market: np.ndarray
    crowds: Crowds
    crowd_variance: FloatArray
    crowd_covariance: FloatArray
    k: float
    wander: tuple[float, float]
    values: Coefficients
    covariance: Covariance


def _pseudo_days(days: tuple[DaySeen, ...], guesses: Mapping[tuple[str, str], float], as_of: date) -> list[DaySeen]:
    """A guess is one full day, as old as the first record of the item at the market."""
    first: dict[tuple[str, str], date] = {}
    for day in days if guesses else ():
        key = (day.record.market, day.record.item)
        first[key] = min(first.get(key, day.record.day), day.record.day)
    whole = (Spell(0.0, 1.0, 0, is_emptied=False),)
    return [
        DaySeen(MarketRecord(first.get((market, item), as_of), market, item), guess, whole, False, False, 1.0, 0)
        for (market, item), guess in guesses.items()
    ]


def fit_pooled(
    days: tuple[DaySeen, ...],
    guesses: Mapping[tuple[str, str], float],
    layout: Layout,
    as_of: date,
    seen: DayArrays | None = None,
) -> Fit:
    """Fit the pooled model.

    Parameters
    ----------
    days : tuple of DaySeen
        Each must tell something; at least one day or one guess.
    guesses : mapping of (market, item) to float
        [steps]
    layout : Layout
    as_of : date
        Day of a guess for what has no record yet.
    seen : DayArrays, optional
        Of the days, where they are at hand.

    Returns
    -------
    Fit

    Raises
    ------
    numpy.linalg.LinAlgError, FloatingPointError
        If the means do not settle.
    """
    pseudo = _pseudo_days(days, guesses, as_of)
    rows = sorted(
        [*((day, False) for day in days), *((day, True) for day in pseudo)], key=lambda row: row[0].record.item
    )
    arrays = seen if seen is not None and not pseudo else day_arrays([day for day, _ in rows])
    cells = [
        replace(cell_of(day, layout), is_usual=is_guess) if is_guess else cell_of(day, layout) for day, is_guess in rows
    ]
    table = _table(cells, arrays, layout)
    exposure = arrays.exposure(DEFAULT_PROFILE.bins)
    farm = float(np.log(max(float(arrays.sold.sum() / exposure.sum()), 0.2)))
    priors = priors_of(layout, farm)
    at_market = {name: at for at, name in enumerate(layout.markets)}
    market = np.array([at_market[cell.market] for cell in cells], dtype=np.int64)
    history = _alternate(table, arrays, market, priors, layout)
    return Fit(
        table=table,
        rows=tuple(day for day, _ in rows),
        is_real=tuple(not is_guess for _, is_guess in rows),
        arrays=arrays,
        market=market,
        crowds=history.crowds,
        crowd_variance=history.crowd_variance,
        crowd_covariance=history.crowd_covariance,
        k=history.k,
        wander=history.wander,
        values=history.values,
        covariance=history.covariance,
    )


def _table(cells: list[Cell], arrays: DayArrays, layout: Layout) -> Table:
    own, shared = columns(cells, layout)
    at = {name: index for index, name in enumerate(layout.items)}
    item = np.array([at[cell.item] for cell in cells], dtype=np.int64)
    return Table(
        own=own,
        shared=shared,
        item=item,
        bounds=np.searchsorted(item, np.arange(len(layout.items) + 1)),
        sold=arrays.sold,
        is_untimed=arrays.is_untimed,
        weight=np.ones(item.size),
        offset=np.zeros(item.size),
    )


@dataclass(frozen=True, slots=True)
class _History:
    values: Coefficients
    covariance: Covariance
    crowds: Crowds
    crowd_variance: FloatArray
    crowd_covariance: FloatArray
    k: float
    wander: tuple[float, float]
    exposure: FloatArray
    eta: FloatArray


def _alternate(table: Table, arrays: DayArrays, market: np.ndarray, priors: Priors, layout: Layout) -> _History:
    """Means, profiles and spread in turn until none of them moves."""
    values = Coefficients(np.zeros((table.bounds.size - 1, table.own.shape[1])), priors.shared_mean.copy())
    markets, wander = len(layout.markets), (WANDER_FARM_SD, WANDER_ITEM_SD)
    crowds, crowd_variance, k = default_crowds(markets), np.zeros(markets), FIRST_K
    crowd_covariance = unlearned_covariance(markets)
    learns = int((arrays.part_near.sum(axis=1) > 0).sum()) >= LEAST_TIMED
    precision = prior_precision(markets) if learns else np.zeros((0, 0))
    trust = _trust(table, arrays, market)
    exposure, eta, pace = arrays.exposure(crowds.bins()[market]), log_means(table, values), _Pace()
    for _ in range(MOST_ROUNDS):
        slope = slopes(table, eta, exposure, k)
        values, covariance, moved = newton_step(table, values, priors, slope)
        before, eta = eta, log_means(table, values)
        if moved > 0.5:
            continue
        # what the days say after the step, to first order
        slope = Slopes(slope.score - slope.information * (eta - before), slope.information)
        if learns:
            step = improve_crowds(crowds, _evidence(table, arrays, market, trust, eta, slope, k), precision)
            crowds, crowd_variance, crowd_covariance = step.crowds, step.shift_variance, step.covariance
            shared = values.shared.copy()
            shared[1 : 1 + markets] += step.shift
            values = Coefficients(values.own, shared)
            exposure = arrays.exposure(crowds.bins()[market])
            eta = eta + step.shift[market]
            moved = max(moved, float(np.max(np.abs(step.shift))), CROWD_CLOSENESS * step.change)
        leverage = np.clip(covariance.variances(table) * slope.information, 0.0, 0.95)
        further = pace.further(float(np.log(k)), float(np.log(_better_k(table, exposure, eta, k, leverage))))
        moved, k = max(moved, abs(further - float(np.log(k)))), float(np.exp(further))
        if layout.gaps.size:
            farther = _better_wander(values, covariance, wander, layout)
            moved = max(moved, *(abs(one - other) for one, other in zip(farther, wander, strict=True)))
            wander = farther
            priors = with_wander(priors, layout, *wander)
        if moved < CLOSE_ENOUGH:
            break
    _check_finite(values)
    return _History(values, covariance, crowds, crowd_variance, crowd_covariance, k, wander, exposure, eta)


def _check_finite(values: Coefficients) -> None:
    if not (np.isfinite(values.own).all() and np.isfinite(values.shared).all()):
        raise FloatingPointError("the means did not settle")


def _evidence(
    table: Table, arrays: DayArrays, market: np.ndarray, trust: FloatArray, eta: FloatArray, slope: Slopes, k: float
) -> CrowdEvidence:
    """Days that show when customers come; what all other days say of a shift of the means is summed up."""
    markets = int(market.max()) + 1
    shows = np.zeros(market.size, dtype=bool)
    shows[arrays.part_day] = True
    rest = 1.0 - np.where(shows, trust, 0.0)
    return CrowdEvidence(
        market=market[shows],
        sold=table.sold[shows],
        mean=np.exp(eta[shows]),
        covered=arrays.covered[shows],
        trust=trust[shows],
        part_market=market[arrays.part_day],
        part_covered=arrays.part_covered,
        part_sold=arrays.part_sold,
        part_trust=trust[arrays.part_day],
        part_near=arrays.part_near,
        other_score=_by_market(market, rest * slope.score, markets),
        other_information=_by_market(market, rest * slope.information, markets),
        k=k,
    )


def _trust(table: Table, arrays: DayArrays, market: np.ndarray) -> FloatArray:
    """(n,) how far each day may shape the profiles."""
    trust = np.ones(market.size)
    emptied = np.unique(arrays.part_day[arrays.part_near.sum(axis=1) > 0])
    if emptied.size:
        group = table.item[emptied] * (int(market.max()) + 1) + market[emptied]
        exposure = arrays.exposure(DEFAULT_PROFILE.bins)[emptied]
        trust[emptied] = trust_in_times(table.sold[emptied], exposure, group)
    return trust


def _by_market(market: np.ndarray, value: FloatArray, markets: int) -> FloatArray:
    return np.asarray(np.bincount(market, weights=value, minlength=markets), dtype=np.float64)


@dataclass(slots=True)
class _Pace:
    """Lengthens the steps of log k where each leads to another of nearly the same length.

    The means follow k and k follows the means, so that the plain steps creep; the last two tell how far they lead.
    """

    last_move: float = 0.0
    last_wish: float = 0.0

    def further(self, here: float, there: float) -> float:
        """Where to go from log k `here`, when the plain step leads to `there`."""
        wish = move = there - here
        if wish != 0.0 and self.last_move != 0.0:
            slowing = (self.last_wish - wish) / self.last_move
            times = 1.0 / slowing if slowing > 1.0 / MOST_PACE else MOST_PACE
            move = float(np.clip(wish * max(times, LEAST_PACE), -LONGEST_PACE, LONGEST_PACE))
        self.last_move, self.last_wish = move, wish
        return float(np.clip(here + move, np.log(LEAST_K), np.log(MOST_K)))


def _better_k(table: Table, exposure: FloatArray, eta: FloatArray, k: float, leverage: FloatArray) -> float:
    return improve_k(
        k,
        sold=table.sold,
        exposure=exposure,
        mean=np.exp(eta),
        is_untimed=table.is_untimed,
        weight=table.weight,
        leverage=leverage,
    )


def _better_wander(
    values: Coefficients, covariance: Covariance, wander: tuple[float, float], layout: Layout
) -> tuple[float, float]:
    """Spread of the farm's and the items' wandering in a week, with a prior.

    What is not known of a step would be added to its square and the whole divided by the number of steps (EM, which
    takes dozens of rounds); the same balance is reached in a few by dividing by the steps that are known instead.
    """
    gaps, own, shared = layout.gaps, layout.own_wander, layout.shared_wander
    link = covariance.link[:, own]
    unknown = covariance.own.diagonal(axis1=1, axis2=2)[:, own] + np.einsum(
        "ips,st,ipt->ip", link, covariance.shared, link, optimize=True
    )
    return (
        _spread(values.shared[shared], covariance.shared.diagonal()[shared], gaps, wander[0], WANDER_FARM_SD),
        _spread(values.own[:, own], unknown, gaps, wander[1], WANDER_ITEM_SD),
    )


def _spread(step: FloatArray, unknown: FloatArray, gaps: FloatArray, before: float, first: float) -> float:
    known = step.size - float(np.sum(unknown / gaps)) / before**2
    squares = float(np.sum(step**2 / gaps)) + WANDER_PRIOR * first**2
    return float(np.sqrt(squares / (max(known, 0.0) + WANDER_PRIOR)))
