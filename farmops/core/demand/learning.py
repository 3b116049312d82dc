"""Learn from all records of a farm: means, spread from day to day, and when customers come."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from farmops.core.demand.exposure import DaySeen, day_arrays, day_seen, with_early_leaving
from farmops.core.demand.factors import Layout, layout_of
from farmops.core.demand.fitting import Fit, fit_pooled
from farmops.core.demand.pooled import log_means, slopes
from farmops.core.demand.records import MarketRecord
from farmops.core.demand.simple import SimpleMeans, simple_means

AGE_HALVES = 5.0  # weeks after which a day counts half among the effective days shown


@dataclass(frozen=True, slots=True)
class Learned:
    """All that was learned; everything `forecast`, `advise` and `looking_back` need.

    Attributes
    ----------
    as_of : date
    days : tuple of DaySeen
        Days that tell something, sorted by item, day, market; guesses are not among them.
    guesses : dict of (market, item) to float
        Those that were used as pseudo-days.
    layout : Layout
    fit : Fit or None
        None: the pooled fit failed or there is nothing to fit; the fall-back answers.
    failure : str
        "" or why the pooled fit failed.
    simple : SimpleMeans
        The fall-back.
    of_item : dict of item to tuple of DaySeen
    effective_days : dict of (market, item) to float
        What the days weigh together, as full days of today.
    """

    as_of: date
    days: tuple[DaySeen, ...]
    guesses: Mapping[tuple[str, str], float]
    layout: Layout
    fit: Fit | None
    failure: str
    simple: SimpleMeans
    of_item: Mapping[str, tuple[DaySeen, ...]]
    effective_days: Mapping[tuple[str, str], float]


def _order(record: MarketRecord) -> tuple[object, ...]:
    unknown = (-1 if value is None else value for value in (record.sold, record.left, record.price, record.left_at))
    return (
        *(record.item, record.day, record.market, record.category, record.opens, record.closes),
        *(record.brought, record.carried_in, tuple(sorted(record.restocks)), tuple(sorted(record.ran_out_at))),
        *(record.ran_out, record.weather, *unknown),
    )


def learn(
    records: Iterable[MarketRecord],
    *,
    as_of: date,
    guesses: Mapping[tuple[str, str], float] | None = None,
    categories: Mapping[str, str] | None = None,
) -> Learned:
    """Learn the farm's demand.

    Parameters
    ----------
    records : iterable of MarketRecord
        All of the farm; later than `as_of` are left out. Their order does not matter.
    as_of : date
    guesses : mapping of (market, item) to float, optional
        The grower's own guess of the usual demand; each counts as one market day. [steps]
    categories : mapping of item to str, optional
        For items that have no record yet.

    Returns
    -------
    Learned
    """
    kept = sorted((record for record in records if record.day <= as_of), key=_order)
    days = tuple(day for day in map(day_seen, with_early_leaving(kept)) if day.tells)
    guessed = {key: float(value) for key, value in sorted((guesses or {}).items()) if value >= 0}
    known = categories or {}
    layout = layout_of(days, [(market, item, known.get(item, "")) for market, item in guessed])
    arrays = day_arrays(days)
    simple = simple_means(days, as_of, arrays)
    fit, failure = None, ""
    if days or guessed:
        try:
            fit = fit_pooled(days, guessed, layout, as_of, arrays)
        except (np.linalg.LinAlgError, FloatingPointError) as error:
            failure = str(error)
    of_item: dict[str, list[DaySeen]] = {}
    for day in days:
        of_item.setdefault(day.record.item, []).append(day)
    return Learned(
        as_of=as_of,
        days=days,
        guesses=guessed,
        layout=layout,
        fit=fit,
        failure=failure,
        simple=simple,
        of_item={item: tuple(own) for item, own in of_item.items()},
        effective_days=_effective_days(days, fit, as_of),
    )


def _effective_days(days: tuple[DaySeen, ...], fit: Fit | None, as_of: date) -> dict[tuple[str, str], float]:
    """A full day of today weighs 1; older days, days soon gone and days of unknown time weigh less."""
    if fit is None:
        return {}
    eta = log_means(fit.table, fit.values)
    told = slopes(fit.table, eta, fit.arrays.exposure(fit.crowds.bins()[fit.market]), fit.k).information
    mean = np.exp(eta)
    share = told / (fit.k * mean / (fit.k + mean))
    total: dict[tuple[str, str], float] = {}
    for row, is_real in enumerate(fit.is_real):
        if is_real:
            record = fit.rows[row].record
            age = (as_of - record.day).days / 7
            key = (record.market, record.item)
            total[key] = total.get(key, 0.0) + min(float(share[row]), 1.0) * 0.5 ** (age / AGE_HALVES)
    return total
