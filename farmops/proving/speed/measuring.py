"""All figures of a run, group by group, and the answer they make."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from math import isfinite
from typing import Any

from farmops.proving.speed.farm_rows import farm_rows
from farmops.proving.speed.page_rows import page_rows
from farmops.proving.speed.ratios import Row
from farmops.proving.speed.reckoning_rows import reckoning_rows
from farmops.proving.speed.talking import workers

FORMAT = 1
DIGITS = 6


@dataclass(slots=True)
class Run:
    """What is asked for, and what was left out with its reason.

    Attributes
    ----------
    only : sequence of str
        Groups, or single rows; none: all.
    years : int
        Of records of the farm that is held against one of a single year.
    """

    only: Sequence[str] = ()
    years: int = 10
    left_out: list[tuple[str, str]] = field(default_factory=list)

    def wants(self, name: str) -> bool:
        return not self.only or any(name == one or name.startswith(f"{one}:") for one in self.only)

    def wants_any(self, groups: Iterable[str]) -> bool:
        return not self.only or any(one.split(":")[0] in groups for one in self.only)

    def leave_out(self, name: str, why: str) -> None:
        if (name, why) not in self.left_out:
            self.left_out.append((name, why))


def _pages(run: Run) -> Iterator[Row]:
    with workers("one", "ten") as (one, ten):
        yield from page_rows(one, ten, run.years, run.wants, run.leave_out)


def _one_farm(run: Run) -> Iterator[Row]:
    with workers("farm") as (farm,):
        yield from farm_rows(farm, run.wants, run.leave_out)


def _reckoning(run: Run) -> Iterator[Row]:
    with workers("reckoning") as (worker,):
        yield from reckoning_rows(worker, run.wants)


PARTS: tuple[tuple[tuple[str, ...], Callable[[Run], Iterator[Row]]], ...] = (
    (("years", "bare", "queries"), _pages),
    (("sizing", "demand"), _reckoning),
    (("cold", "paper", "post", "crowd"), _one_farm),
)
GROUPS = tuple(group for groups, _measure in PARTS for group in groups)


def measure(run: Run) -> Iterator[Row]:
    """Row by row, as they are measured."""
    for groups, part in PARTS:
        if run.wants_any(groups):
            yield from part(run)


def answer(rows: Sequence[Row], run: Run) -> dict[str, Any]:  # JSON
    """The whole answer."""
    return {
        "format": FORMAT,
        "years": run.years,
        "ok": all(row.ok for row in rows),
        "rows": [{name: _rounded(value) for name, value in asdict(row).items()} for row in rows],
        "left_out": [{"name": name, "why": why} for name, why in run.left_out],
    }


def _rounded(value: object) -> object:
    if isinstance(value, float):
        if not isfinite(value):
            raise ValueError(f"a figure must be finite, got {value}")
        return round(value, DIGITS)
    return value
