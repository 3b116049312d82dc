"""Rows of the arithmetic."""

from collections.abc import Callable, Iterator

from farmops.proving.speed.ratios import Row, counted, quietest, timed
from farmops.proving.speed.reckoning import INSTANCES
from farmops.proving.speed.talking import Talk

SOLVER_LIMIT, LINEAR = 1.3, 1.0
SIZING_ROUNDS, DEMAND_ROUNDS = 7, 6
ITEMS, FEWER, MORE = 40, 130, 520
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
    name = f"demand:{MORE} days over {FEWER}"
    if wanted(name):
        worker.ask("demand", items=ITEMS, days=FEWER)
        rounds = [[worker.ask("demand", items=ITEMS, days=days)["seconds"] for days in (MORE, FEWER)]
                  for _round in range(DEMAND_ROUNDS)]  # fmt: skip
        many, few = (list(one) for one in zip(*rounds, strict=True))
        # The fewer days, as if there were as many of them; the least of each, since large tables suffer most from
        # whatever else this computer does.
        yield quietest(name, many, [0.0] * len(few), [one * MORE / FEWER for one in few], LINEAR)
