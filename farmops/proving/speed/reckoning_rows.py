"""Rows of the arithmetic."""

from collections.abc import Callable, Iterator
from itertools import pairwise

from farmops.proving.speed.ratios import Row, counted, timed
from farmops.proving.speed.reckoning import INSTANCES
from farmops.proving.speed.talking import Talk

SOLVER_LIMIT, LINEAR = 1.3, 1.0
SIZING_ROUNDS, DEMAND_ROUNDS = 7, 5
ITEMS, DAYS = 40, (130, 260, 520)
SIZES = ("columns", "rows", "entries")


def reckoning_rows(worker: Talk, wanted: Callable[[str], bool]) -> Iterator[Row]:
    """Sizing beside the solver, the sizes of its matrices, and how demand grows with its market days."""
    for name in INSTANCES:
        if wanted(f"sizing:{name}"):
            said = [worker.ask("sizing", instance=name) for _round in range(SIZING_ROUNDS + 1)][1:]
            row = timed(
                f"sizing:{name}", [one["ours"] for one in said], [one["alone"] for one in said], SOLVER_LIMIT,
                also=all(one["proven"] for one in said),
            )  # fmt: skip
            yield row
        if any(wanted(f"sizing:{size} of {name}") for size in SIZES):
            sizes = worker.ask("sizes", instance=name)
            for size, there, most in zip(SIZES, sizes["there"], sizes["most"], strict=True):
                if wanted(f"sizing:{size} of {name}"):
                    yield counted(f"sizing:{size} of {name}", there, most, 1.0, unit=size)
    for fewer, more in pairwise(DAYS):
        name = f"demand:{more} days over {fewer}"
        if wanted(name):
            worker.ask("demand", items=ITEMS, days=fewer)
            rounds = [[worker.ask("demand", items=ITEMS, days=days)["seconds"] for days in (fewer, more)]
                      for _round in range(DEMAND_ROUNDS)]  # fmt: skip
            # As much a day: the fewer days are held against as many as the more.
            yield timed(name, [one[1] for one in rounds], [one[0] * more / fewer for one in rounds], LINEAR)
