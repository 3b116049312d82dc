"""From a notebook row to spells on the table: which share of the day's customers found the crop there."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from farmops.core.demand.profile import BINS, coverage
from farmops.core.demand.records import MarketRecord
from farmops.core.demand.special import FloatArray

LEAST_EXPOSURE = 0.04  # a crop gone in the first minutes says no more than this share of a day
NOTED_WITHIN = 0.025  # half width, in shares of the opening hours, of what a noted time means (quarter hours of five)
EARLY_BY = 15  # minutes before the usual closing hour
EARLY_SHARE = 0.25  # of a market's days; more than that are no exceptions
EARLIEST = 0.004  # a sell-out noted at the very opening happened just after it (about one minute of five hours)


@dataclass(frozen=True, slots=True)
class Spell:
    """One time on the table, as shares of the opening hours.

    Attributes
    ----------
    start, stop : float in [0, 1]
    stock : int, >= 0
        On the table in this spell. [steps]
    is_emptied : bool
        It ended because nothing was left.
    """

    start: float
    stop: float
    stock: int
    is_emptied: bool


@dataclass(frozen=True, slots=True)
class DaySeen:
    """What one record shows.

    Attributes
    ----------
    record : MarketRecord
    sold : float or None
        None: unknown, the day says nothing. A guess may be broken. [steps]
    spells : tuple of Spell
        Times on the table; the last one may end at an unknown time (`is_untimed`).
    ran_out : bool
        Empty before closing and not filled again; a sell-out exactly at closing is none.
    is_untimed : bool
        Ran out, nobody knows when.
    last : float in [0, 1]
        When the seller left, as a share of the opening hours; 1 is closing.
    unaccounted : int
        brought + carried in - sold - left, where all are known; shown, never forced. [steps]
    """

    record: MarketRecord
    sold: float | None
    spells: tuple[Spell, ...]
    ran_out: bool
    is_untimed: bool
    last: float
    unaccounted: int

    @property
    def tells(self) -> bool:
        """Whether the day says anything about demand: there was something to sell and it is known what sold."""
        stock = self.record.brought + self.record.carried_in
        if self.sold is None or max(stock, self.sold) <= 0:
            return False
        return self.sold > 0 if self.ran_out else self.last > 0


def _share(minute: float, record: MarketRecord) -> float:
    length = record.closes - record.opens
    return min(max((minute - record.opens) / length, 0.0), 1.0)


def sold_count(record: MarketRecord) -> int | None:
    """What was sold: as noted, else from what was brought and what was left, else the whole stock when it ran out."""
    if record.sold is not None:
        return record.sold
    stock = record.brought + record.carried_in
    if record.left is not None:
        return max(stock - record.left, 0)
    return stock if record.ran_out or _empty_at_the_end(record) else None


def _empty_times(record: MarketRecord) -> list[int]:
    """Minutes at which the table was empty.

    Where something came back and nobody says that it ran out, a time without a later restock was
    followed by one that was not noted: the crop was there, as far as anybody knows.
    """
    if record.ran_out or not record.left:
        return list(record.ran_out_at)
    if not record.ran_out_at:
        return []
    refilled = max((minute for minute, count in record.restocks if count > 0), default=-1)
    return [minute for minute in record.ran_out_at if minute <= refilled]


def _empty_at_the_end(record: MarketRecord) -> bool:
    """The last noted empty table was not filled again."""
    if not record.ran_out_at:
        return False
    times = _empty_times(record)
    return bool(times) and not any(minute >= max(times) for minute, count in record.restocks if count > 0)


def day_seen(record: MarketRecord) -> DaySeen:
    """Read one record into spells on the table.

    Parameters
    ----------
    record : MarketRecord

    Returns
    -------
    DaySeen

    Raises
    ------
    ValueError
        If the market closes before it opens or a count is negative.

    Notes
    -----
    Sold out exactly at closing is a full day. A seller who left early ends the last spell; that is
    no sell-out. An empty table that was filled again ends one spell and begins another.
    """
    if min(record.brought, record.carried_in, record.sold or 0, record.left or 0, record.not_wasted) < 0:
        raise ValueError(f"counts must be 0 or more, got {record}")
    if record.closes <= record.opens:
        raise ValueError(f"a market must close after it opens, got {record.opens} to {record.closes}")
    last = 1.0 if record.left_at is None else _share(record.left_at, record)
    spells, is_open = _timed_spells(record, last)
    ends_empty = _empty_at_the_end(record)
    at_closing = ends_empty and _share(max(record.ran_out_at), record) >= last
    is_untimed = record.ran_out and not ends_empty and is_open
    sold = sold_count(record)
    unaccounted = 0
    if record.sold is not None and record.left is not None:
        unaccounted = record.brought + record.carried_in - record.sold - record.left
    return DaySeen(
        record=record,
        sold=sold,
        spells=tuple(spells),
        ran_out=(ends_empty and not at_closing) or is_untimed,
        is_untimed=is_untimed,
        last=last,
        unaccounted=unaccounted,
    )


def _timed_spells(record: MarketRecord, last: float) -> tuple[list[Spell], bool]:
    """Walk through restocks and empty tables in order of time; a restock of the same minute comes after.

    A second empty table without a restock between them was filled again at once, as far as anybody knows.
    """
    if not record.restocks and not record.ran_out_at:
        stock = record.brought + record.carried_in
        return ([Spell(0.0, last, stock, is_emptied=False)], True) if last > 0 else ([], False)
    times = _empty_times(record)
    if len(times) == 1 and not record.restocks and last > 0:  # nearly all days: no walk is needed
        at, stock = max(_share(times[0], record), EARLIEST), record.brought + record.carried_in
        is_emptied = at < last
        return [Spell(0.0, at if is_emptied else last, stock, is_emptied)], not is_emptied
    later = sum(count for _, count in record.restocks)
    events = sorted(
        [(minute, 0, 0) for minute in times] + [(minute, 1, count) for minute, count in record.restocks if count > 0]
    )
    stock = max(record.brought + record.carried_in - later, 0)
    start: float | None = 0.0 if stock > 0 or later == 0 else None
    spells: list[Spell] = []
    for minute, kind, count in events:
        at = _share(minute, record)
        if kind == 1:
            if start is None:
                start, stock = at, count
            else:
                stock += count
        elif start is not None:
            at = max(at, start + EARLIEST)
            if at < last:
                spells.append(Spell(start, at, stock, is_emptied=True))
                start = None
        elif spells and at < last:
            spells[-1] = replace(spells[-1], stop=max(at, spells[-1].stop))
    if start is not None and start < last:
        spells.append(Spell(start, last, stock, is_emptied=False))
        return spells, True
    return spells, False


def with_early_leaving(records: Sequence[MarketRecord]) -> list[MarketRecord]:
    """Days that closed well before the market's usual hour, now and then, count as left early.

    Parameters
    ----------
    records : sequence of MarketRecord

    Returns
    -------
    list of MarketRecord
        In the same order. The usual closing hour is the commonest (the later of equals); a shorter day counts as
        left early if such days are at most a quarter of the market's.
    """
    closings: dict[str, dict[date, int]] = {}
    for record in records:
        closings.setdefault(record.market, {})[record.day] = record.closes
    early: dict[tuple[str, int], int] = {}
    for market, by_day in closings.items():
        seen = list(by_day.values())
        usual = max(sorted(set(seen), reverse=True), key=seen.count)
        short = [closes for closes in seen if closes <= usual - EARLY_BY]
        if short and len(short) <= EARLY_SHARE * len(seen):
            early |= {(market, closes): usual for closes in short}
    if not early:
        return list(records)
    return [_left_early(record, early.get((record.market, record.closes))) for record in records]


def _left_early(record: MarketRecord, usual: int | None) -> MarketRecord:
    if usual is None or record.left_at is not None:
        return record
    return replace(record, closes=usual, left_at=record.closes)


@dataclass(frozen=True, slots=True)
class DayArrays:
    """Days as arrays of length n; spells that show when customers come as arrays of length j.

    Attributes
    ----------
    sold : (n,) float
    is_untimed : (n,) bool
    covered : (n, 20) float
        Which part of each twentieth of the opening hours the crop was there.
    part_day : (j,) int
    part_covered : (j, 20) float
    part_sold : (j,) float
    part_near : (j, 20) float
        Which part of each twentieth is near the time the table was empty; all 0 where it ended for another reason.
    """

    sold: FloatArray
    is_untimed: np.ndarray
    covered: FloatArray
    part_day: np.ndarray
    part_covered: FloatArray
    part_sold: FloatArray
    part_near: FloatArray

    def exposure(self, bins: FloatArray) -> FloatArray:
        """(n,) share of the day's customers who found the crop, floored; `bins` (20,) or (n, 20) profiles."""
        reached = self.covered @ bins if bins.ndim == 1 else np.einsum("nb,nb->n", self.covered, bins)
        return np.asarray(np.clip(reached, LEAST_EXPOSURE, 1.0), dtype=np.float64)


def day_arrays(days: Sequence[DaySeen]) -> DayArrays:
    """Arrays of the days given, in their order."""
    spells = np.array(
        [(row, spell.start, spell.stop) for row, day in enumerate(days) for spell in day.spells], dtype=np.float64
    ).reshape(-1, 3)
    parts = np.array(
        [(row, *part) for row, day in enumerate(days) if not day.is_untimed for part in _profile_parts(day)],
        dtype=np.float64,
    ).reshape(-1, 5)
    covered = np.zeros((len(days), BINS))
    np.add.at(covered, spells[:, 0].astype(np.int64), coverage(spells[:, 1], spells[:, 2]))
    near = coverage(np.maximum(parts[:, 2] - NOTED_WITHIN, 0.0), np.minimum(parts[:, 2] + NOTED_WITHIN, 1.0))
    return DayArrays(
        sold=np.array([float(day.sold or 0) for day in days]),
        is_untimed=np.array([day.is_untimed for day in days], dtype=bool),
        covered=covered,
        part_day=parts[:, 0].astype(np.int64),
        part_covered=coverage(parts[:, 1], parts[:, 2]),
        part_sold=parts[:, 3],
        part_near=near * parts[:, 4:5],
    )


def _profile_parts(day: DaySeen) -> list[tuple[float, float, float, bool]]:
    """Spells that show when customers come: all but a single spell of the whole day."""
    sold = float(day.sold or 0)
    parts: list[tuple[float, float, float, bool]] = []
    for spell in day.spells:
        here = min(float(spell.stock), sold) if spell.is_emptied else sold
        sold -= here
        whole = not spell.is_emptied and spell.start <= 0.0 and spell.stop >= 1.0
        if not whole and (here > 0 or not spell.is_emptied):
            parts.append((spell.start, spell.stop, here, spell.is_emptied))
    return parts
