"""Run the solver on a model and say what it proved."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from .matrix import Matrix
from .problem import Settings

PROVEN = 1e-6  # below this a relative gap is the solver's arithmetic


@dataclass(frozen=True, slots=True)
class Answer:
    """values: (columns,) float64, or None where nothing feasible was found."""

    status: str  # optimal, gap, stopped, infeasible
    values: npt.NDArray[np.float64] | None
    objective: float | None
    bound: float | None
    seconds: float


def solver(settings: Settings) -> Any:
    """A quiet HiGHS with the settings that make its answers repeat."""
    import highspy  # slow to load: only where something is solved

    make: Any = highspy.Highs  # highspy ships no types
    highs = make()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("random_seed", settings.seed)
    highs.setOptionValue("mip_rel_gap", settings.gap)
    highs.setOptionValue("mip_max_nodes", settings.nodes)
    highs.setOptionValue("time_limit", float(settings.seconds))
    return highs


def run(matrix: Matrix, settings: Settings, *, whole: bool = True) -> Answer:
    """Solve; with whole=False the relaxation, whose objective is a bound for the whole problem.

    Raises
    ------
    ArithmeticError
        If the solver fails or finds the model unbounded, which no checked problem is.
    """
    if not matrix.cost:
        return _without_columns(matrix)
    import highspy

    highs = solver(settings)
    if highs.passModel(matrix.highs_model(whole=whole)) == highspy.HighsStatus.kError:
        raise ArithmeticError("the solver refused the model")
    started = time.perf_counter()
    highs.run()
    seconds = time.perf_counter() - started
    return _answer(highs, matrix, seconds, is_whole=whole and bool(matrix.whole))


def _without_columns(matrix: Matrix) -> Answer:
    """No column at all: the solver would call that "empty". Rows can only be rules that nothing fulfils."""
    clash = any(low > 0 or high < 0 for low, high in zip(matrix.row_lower, matrix.row_upper, strict=True))
    if clash:
        return Answer("infeasible", None, None, None, 0.0)
    return Answer("optimal", np.zeros(0), matrix.offset, matrix.offset, 0.0)


def _answer(highs: Any, matrix: Matrix, seconds: float, *, is_whole: bool) -> Answer:
    import highspy

    kinds = highspy.HighsModelStatus
    status, facts = highs.getModelStatus(), highs.getInfo()
    if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
        return Answer("infeasible", None, None, None, seconds)
    if status not in (kinds.kOptimal, kinds.kTimeLimit, kinds.kSolutionLimit, kinds.kIterationLimit, kinds.kInterrupt):
        raise ArithmeticError(f"the solver ended with {status}")
    found = facts.primal_solution_status == 2  # a feasible point (kSolutionStatusFeasible)
    values = np.array(highs.getSolution().col_value) if found else None
    objective = float(facts.objective_function_value) if found else None
    bound: float | None = objective if status == kinds.kOptimal else None
    if is_whole:
        bound = float(facts.mip_dual_bound)
    if bound is not None and not np.isfinite(bound):
        bound = None
    word = "stopped"
    if status == kinds.kOptimal and objective is not None and bound is not None:
        word = "optimal" if bound - objective <= PROVEN * max(1.0, abs(objective)) else "gap"
    if values is not None and is_whole:
        values[matrix.whole] = np.round(values[matrix.whole])
    return Answer(word, values, objective, bound, seconds)
