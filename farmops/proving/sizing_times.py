"""How long the sizing programme takes over farms of several sizes and rooms: one line each, as a table.

python -m farmops.proving.sizing_times [ITEMSxWEEKS ...] [--rooms R ...] [--seeds S ...]
"""

import argparse
import os
import time
from collections.abc import Sequence

from farmops.core.sizing import Settings
from farmops.proving.sizing_farms import Timing, invented_farm, measure

SIZES = ("14x26", "40x26", "40x60")
ROOMS = (0.35, 0.5, 0.65, 1.1)
GAPS = (0.02, 0.01)
PATIENT = 300.0  # [s] so that a busy computer does not end the search
HEAD = "farm    room seed  columns whole   rows entries  build     LP   to 2 %   to 1 %  proven"


def line(items: int, weeks: int, room: float, seed: int) -> str:
    """Sizes, and seconds of the processor for building, the relaxation, and plans proven within 2 % and 1 %."""
    problem = invented_farm(items, weeks, room=room, seed=seed)
    runs = [measure(problem, Settings(gap=gap, seconds=PATIENT), clock=time.process_time) for gap in GAPS]
    size, last = runs[-1].plan.size, runs[-1]
    return (
        f"{items}x{weeks:<4} {room:>5} {seed:>4} {size.columns:>8} {size.whole:>5} {size.rows:>6} {size.entries:>7}"
        f" {last.model_seconds:>6.2f} {last.lp_seconds:>6.2f} {_seconds(runs[0])} {_seconds(last)}"
        f" {100 * (last.plan.gap or 0.0):>6.2f} %"
    )


def _seconds(run: Timing) -> str:
    """Of planning; a search that was ended without the proof is marked."""
    return f"{run.total_seconds:>7.2f}{'' if run.plan.status in {'gap', 'optimal'} else '*':1}"


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("sizes", nargs="*", default=list(SIZES))
    parser.add_argument("--rooms", nargs="+", type=float, default=list(ROOMS))
    parser.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    asked = parser.parse_args(arguments)
    answer = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # the solver prints to descriptor 1 by itself
    print(HEAD, file=answer, flush=True)
    for size in asked.sizes:
        items, weeks = (int(part) for part in size.split("x"))
        for room in asked.rooms:
            for seed in asked.seeds:
                print(line(items, weeks, room, seed), file=answer, flush=True)


if __name__ == "__main__":
    main()
