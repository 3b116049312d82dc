"""Which rows a reading of sheets added: noted in runs of keys, since they are written one after another."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Self

from django.apps import apps
from django.db.models import Model, Q

from farmops.exchange.models import ReadRows, RowTakenBack
from farmops.growing.models import Planting
from farmops.harvest.models import Lot
from farmops.journal.models import Entry

Run = tuple[int, int]  # first and last key
RUNS_AT_ONCE = 100  # in one query
ENTRIES = Entry._meta.label_lower


def runs_of(keys: Iterable[int]) -> list[Run]:
    """Keys as runs without a gap, in order."""
    runs: list[Run] = []
    for key in sorted(set(keys)):
        if runs and runs[-1][1] == key - 1:
            runs[-1] = runs[-1][0], key
        else:
            runs.append((key, key))
    return runs


def within(column: str, keys: Iterable[int]) -> Iterator[Q]:
    """Conditions that together ask for rows whose column is one of the keys."""
    runs = runs_of(keys)
    for at in range(0, len(runs), RUNS_AT_ONCE):
        asked = Q()
        for first, last in runs[at : at + RUNS_AT_ONCE]:
            asked |= Q(**{f"{column}__gte": first, f"{column}__lte": last})
        yield asked


def note_rows(reading: Entry, rows: Mapping[type[Model], Sequence[Model]]) -> None:
    """Note what a reading wrote; inside its transaction."""
    ReadRows.objects.bulk_create(
        ReadRows(reading=reading, table=model._meta.label_lower, first=first, last=last)
        for model, written in rows.items()
        for first, last in runs_of(row.pk for row in written)
    )


def rows_of(reading: Entry) -> dict[type[Model], set[int]]:
    """The keys of all rows that a reading added, by model."""
    found: dict[type[Model], set[int]] = defaultdict(set)
    for one in ReadRows.objects.filter(reading=reading):
        found[apps.get_model(one.table)].update(range(one.first, one.last + 1))
    return dict(found)


def reading_of(table: str, key: int) -> Entry | None:
    """The reading that added a row, if one did that counts."""
    holding = ReadRows.objects.filter(table=table, first__lte=key, last__gte=key, reading__corrected_by=None)
    found = holding.select_related("reading").first()
    return found.reading if found else None


def lot_codes_before() -> dict[tuple[str, str], str]:
    """Codes of lots that were taken back, by number of the planting and day: crates may carry them, so they hold."""
    gone = {
        table: RowTakenBack.objects.filter(table=table).order_by("pk").values_list("was", flat=True)
        for table in ("harvest.lot", "growing.planting")
    }
    lots = [was for was in gone["harvest.lot"] if was["planting_id"] is not None]
    plantings = dict(Planting.objects.values_list("pk", "code")) if lots else {}
    plantings |= {was["id"]: was["code"] for was in gone["growing.planting"]} if lots else {}
    taken = set(Lot.objects.values_list("code", flat=True)) if lots else set()
    return {(plantings[was["planting_id"]], was["made_on"]): was["code"] for was in lots if was["code"] not in taken}


@dataclass(frozen=True, slots=True)
class TakenBack:
    """Entries of rows whose reading was taken back: what they say stands in no table any more."""

    runs: tuple[Run, ...]
    times: int

    @classmethod
    def of_farm(cls) -> Self:
        told = ReadRows.objects.filter(table=ENTRIES, reading__corrected_by__isnull=False)
        runs = sorted(told.values_list("first", "last"))
        return cls(tuple(runs), told.values("reading").distinct().count())

    def holds(self, entry: int) -> bool:
        at = bisect_right(self.runs, (entry, 2**63)) - 1
        return at >= 0 and self.runs[at][0] <= entry <= self.runs[at][1]

    def keys_for(self, once_key: str) -> list[str]:
        """Under which once-only keys a row may have been read; each time after a taking back it gets another."""
        sheet, _colon, key = once_key.partition(":")
        return [once_key, *(f"{sheet}~{number}:{key}" for number in range(2, self.times + 2))]
