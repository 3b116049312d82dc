"""The arithmetic alone: sizing beside the solver on the same matrix, and demand as the market days grow more."""

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from random import Random

from farmops.core.demand import MarketRecord, learn
from farmops.core.sizing import Plan, Problem, Settings
from farmops.core.sizing.matrix import Matrix
from farmops.core.sizing.model import build
from farmops.core.sizing.planner import solve
from farmops.core.sizing.solve import solver
from farmops.exchange.sheets.read import read_folder
from farmops.planning.sowing import plan_sowings
from farmops.proving.sizing_farms import invented_farm

PATIENT = 300.0  # [s] the gap ends the search, not a busy computer
CATEGORIES = ("salad", "herbs", "leaves", "roots")
FIRST_SATURDAY = date(2016, 10, 1)


@dataclass(frozen=True, slots=True)
class Instance:
    """A problem and how it is solved; the most columns, rows and entries that its matrix may come to."""

    problem: Problem
    settings: Settings
    most: tuple[int, int, int]


def instance(name: str, sheets: Path) -> Instance:
    """One that is known by its name.

    Raises
    ------
    KeyError
        If there is none.
    """
    if name == "demo farm":
        return Instance(*_of_the_demo(sheets), most=(3000, 1500, 6500))
    if name == "20 items 30 weeks":
        return Instance(invented_farm(20, 30), _patient(Settings()), most=(10_000, 3600, 23_000))
    raise KeyError(name)


INSTANCES = ("demo farm", "20 items 30 weeks")


def _of_the_demo(sheets: Path) -> tuple[Problem, Settings]:
    """What the plan of the demo's own Monday asks of the solver."""
    asked: list[tuple[Problem, Settings]] = []

    def note(problem: Problem, settings: Settings) -> Plan:
        asked.append((problem, _patient(settings)))
        return solve(*asked[-1])

    plan_sowings(read_folder(sheets), date(2026, 9, 7), solver=note)
    return asked[0]


def _patient(settings: Settings) -> Settings:
    """Why a promise fails is asked in further programmes, which the solver alone would not have to solve."""
    return replace(settings, seconds=PATIENT, explain=False)


def seconds_of_sizing(asked: Instance) -> tuple[float, float, bool]:
    """Seconds from the problem to the plan, seconds of the solver alone, and whether the plan is proven good."""
    matrix = build(asked.problem, asked.settings).matrix
    started = time.process_time()
    plan = solve(asked.problem, asked.settings)
    ours = time.process_time() - started
    return ours, seconds_alone(matrix, asked.settings), plan.status in {"optimal", "gap"}


def seconds_alone(matrix: Matrix, settings: Settings) -> float:
    """The solver with the whole matrix at once, to the same gap."""
    started = time.process_time()
    highs = solver(settings)
    highs.passModel(matrix.highs_model())
    highs.run()
    return time.process_time() - started


def size_of(asked: Instance) -> tuple[int, int, int]:
    """Columns, rows and entries."""
    matrix = build(asked.problem, asked.settings).matrix
    return len(matrix.cost), len(matrix.labels), len(matrix.index)


def notebook(items: int, days: int) -> Iterator[MarketRecord]:
    """Saturdays of an invented stall whose items sell around a level of their own; the same every time."""
    rng = Random(20260907)
    levels = [rng.uniform(8, 60) for _item in range(items)]
    for day in range(days):
        weather, crowd = ("rain" if rng.random() < 0.25 else "dry"), rng.gammavariate(20, 1 / 20)
        for item, level in enumerate(levels):
            wanted = round(level * crowd * (0.8 if weather == "rain" else 1.0) * rng.gammavariate(8, 1 / 8))
            brought = round(level * 1.1)
            is_out = wanted >= brought
            yield MarketRecord(
                FIRST_SATURDAY + timedelta(weeks=day),
                "Saturday",
                f"item {item}",
                CATEGORIES[item % len(CATEGORIES)],
                brought=brought,
                sold=min(wanted, brought),
                left=max(brought - wanted, 0),
                ran_out=is_out,
                ran_out_at=(480 + round(300 * brought / wanted),) if is_out and wanted > brought else (),
                price=3.0,
                weather=weather,
            )


def seconds_of_demand(items: int, days: int) -> float:
    """Seconds to learn a stall's demand from so many market days."""
    records = list(notebook(items, days))
    started = time.process_time()
    learned = learn(records, as_of=max(record.day for record in records))
    seconds = time.process_time() - started
    if learned.fit is None:
        raise ArithmeticError(f"the demand was not learned: {learned.failure}")
    return seconds
