"""Stays that a sheet tells in other words than the farm: “20 until Friday” of which 7 left on Tuesday is “13 and 7”."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from farmops.exchange.sheets.columns import STAYS
from farmops.exchange.sheets.written import texts_of
from farmops.exchange.sheets_of_farm import settled
from farmops.planning.rows import FarmRows, Row

Parts = Mapping[str, Sequence[Mapping[str, str]]]
R = TypeVar("R", bound=Row)


def told_stays(told: FarmRows, farm: FarmRows, plantings: set[str]) -> Parts:
    """What the sheets tell of the stays of some plantings, in the form in which the farm is written, by key.

    Parameters
    ----------
    told : FarmRows
        As read, each row with its key. Of sheets that are not among them the farm's own rows are taken.
    farm : FarmRows
    plantings : set of str
        Their numbers.
    """
    of_plantings = {row.planting: row for row in (*farm.plantings, *told.plantings) if row.planting in plantings}
    found = settled(
        FarmRows(
            schedules=(*farm.schedules, *told.schedules),
            plantings=tuple(of_plantings.values()),
            stays=tuple(_of(told.stays or farm.stays, plantings)),
            losses=tuple(_of(told.losses or farm.losses, plantings)),
            picks=tuple(_of(told.picks or farm.picks, plantings)),
        ),
        as_told=True,
    )
    return parts_by_key(found.stays)


def parts_by_key(stays: Iterable[Row]) -> Parts:
    """Rows that are parts of one, by its key, as what they say."""
    found: dict[str, list[Mapping[str, str]]] = defaultdict(list)
    for row in stays:
        found[row.key.partition("/")[0]].append(texts_of(STAYS, row))
    return {key: sorted(parts, key=lambda part: sorted(part.items())) for key, parts in found.items()}


def _of(rows: Iterable[R], plantings: set[str]) -> Iterable[R]:
    return (replace(row) for row in rows if getattr(row, "planting") in plantings)  # noqa: B009 - not every Row has it
