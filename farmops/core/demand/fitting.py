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
from farmops.core.demand.dispersion import improve_k
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
    for day in days:
        key = (day.record.market, day.record.item)
        first[key] = min(first.get(key, day.record.day), day.record.day)
    whole = (Spell(0.0, 1.0, 0, is_emptied=False),)
    return [
        DaySeen(MarketRecord(first.get((market, item), as_of), market, item), guess, whole, False, False, 1.0, 0)
        for (market, item), guess in guesses.items()
    ]


def fit_pooled(days: tuple[DaySeen, ...], guesses: Mapping[tuple[str, str], float], layout: Layout, as_of: date) -> Fit:
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
    arrays = day_arrays([day for day, _ in rows])
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
    exposure = arrays.exposure(crowds.bins()[market])
    for _ in range(MOST_ROUNDS):
        eta = log_means(table, values)
        slope = slopes(table, eta, exposure, k)
        values, covariance, moved = newton_step(table, values, priors, slope)
        if moved > 0.5:
            continue
        eta = log_means(table, values)
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
        better = _better_k(table, exposure, eta, k, table.weight, leverage)
        moved = max(moved, abs(float(np.log(better / k))))
        k = better
        if layout.gaps.size:
            farther = _better_wander(values, covariance, layout)
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


def _better_k(
    table: Table, exposure: FloatArray, eta: FloatArray, k: float, weight: FloatArray, leverage: FloatArray
) -> float:
    return improve_k(
        k,
        sold=table.sold,
        exposure=exposure,
        mean=np.exp(eta),
        is_untimed=table.is_untimed,
        weight=weight,
        leverage=leverage,
    )


def _better_wander(values: Coefficients, covariance: Covariance, layout: Layout) -> tuple[float, float]:
    """Spread of the farm's and the items' wandering in a week (one step of EM, with a prior)."""
    gaps, own, shared = layout.gaps, layout.own_wander, layout.shared_wander
    farm = float(np.sum((values.shared[shared] ** 2 + covariance.shared.diagonal()[shared]) / gaps))
    link = covariance.link[:, own]
    variance = covariance.own.diagonal(axis1=1, axis2=2)[:, own]
    variance = variance + np.einsum("ips,st,ipt->ip", link, covariance.shared, link)
    items = float(np.sum((values.own[:, own] ** 2 + variance) / gaps))
    count = values.own.shape[0] * gaps.size
    return (
        float(np.sqrt((farm + WANDER_PRIOR * WANDER_FARM_SD**2) / (gaps.size + WANDER_PRIOR))),
        float(np.sqrt((items + WANDER_PRIOR * WANDER_ITEM_SD**2) / (count + WANDER_PRIOR))),
    )
