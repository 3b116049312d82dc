"""The same farm with more years of records behind it: its last year copied back by whole weeks, so weekdays hold."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TypeVar

from farmops.planning.rows import FarmRows, Loss, Pick, Planting, Stay, Walk

R = TypeVar("R", Planting, Stay, Loss, Walk, Pick)
YEAR = timedelta(weeks=52)
RECORDS = ("stays", "losses", "walks", "picks")


def farm_of_years(rows: FarmRows, years: int, last: date) -> FarmRows:
    """The farm as it stands on a day, with so many years of records.

    Parameters
    ----------
    rows : FarmRows
        With at least a year of records before `last`.
    years : int, >= 1
    last : date
        Nothing later is kept but what is planned.

    Raises
    ------
    ValueError
        If `years` is below 1.
    """
    if years < 1:
        raise ValueError(f"a farm has at least a year of records, got {years}")
    first = last - YEAR
    kept = [one for one in rows.plantings if one.cleared is None or one.cleared >= first]
    own = {one.planting for one in kept}
    found = replace(
        rows,
        plantings=tuple(kept),
        market_days=tuple(day for day in rows.market_days if day.date >= first),
        waiting=tuple(one for one in rows.waiting if not one.planting or one.planting in own),
        **{name: tuple(one for one in getattr(rows, name) if one.planting in own) for name in RECORDS},
    )
    year = _a_year(found, first, last)
    for number in range(1, years):
        found = _with(found, year, number)
    return found


def _a_year(rows: FarmRows, first: date, last: date) -> FarmRows:
    """What was sown and sold in the year, all of it over by its last day."""
    sown = {one.planting for one in rows.plantings if first <= one.sown < last and one.state == "done"}
    day_of = {"losses": "day", "walks": "day", "picks": "day", "stays": "from_day"}
    plantings = tuple(_over(one, last) for one in rows.plantings if one.planting in sown)
    ends = {one.planting: one.cleared or last for one in plantings}
    records = {
        name: tuple(
            one
            for one in getattr(rows, name)
            if one.planting in sown and getattr(one, day_of[name]) <= ends[one.planting]
        )
        for name in RECORDS
    }
    records["stays"] = tuple(
        replace(stay, to_day=min(stay.to_day or ends[stay.planting], ends[stay.planting]))
        for stay in records["stays"]
        if stay.state == "done"
    )
    days = tuple(day for day in rows.market_days if first <= day.date < last)
    return FarmRows(plantings=plantings, market_days=days, **records)


def _over(planting: Planting, last: date) -> Planting:
    return planting if planting.cleared is not None and planting.cleared <= last else replace(planting, cleared=last)


def _with(rows: FarmRows, year: FarmRows, number: int) -> FarmRows:
    """Beside a farm's rows, a year of them so many years earlier."""
    back = YEAR * number
    return replace(
        rows,
        plantings=(*_moved(year.plantings, number, {"sown": back, "cleared": back}), *rows.plantings),
        stays=(*_moved(year.stays, number, {"from_day": back, "to_day": back}), *rows.stays),
        losses=(*_moved(year.losses, number, {"day": back}), *rows.losses),
        walks=(*_moved(year.walks, number, {"day": back}), *rows.walks),
        picks=(*_moved(year.picks, number, {"day": back}), *rows.picks),
        market_days=(*(replace(day, date=day.date - back, key="") for day in year.market_days), *rows.market_days),
    )


def _moved(of_year: Sequence[R], number: int, back: dict[str, timedelta]) -> Iterable[R]:
    for row in of_year:
        days = {name: getattr(row, name) - by for name, by in back.items()}
        yield replace(row, key="", planting=f"{row.planting}~{number}", **days)
