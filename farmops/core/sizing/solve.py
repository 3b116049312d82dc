"""Run the solver on a model and say what it proved."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from .dive import dive
from .matrix import Matrix
from .problem import Settings

PROVEN = 1e-6  # below this a relative gap is the solver's arithmetic
LEAST_SECONDS = 0.1
ROW_TOLERANCE = 1e-4  # rounding 2.999999 parts to 3 moves a row by a little
FEASIBLE = 2  # what the solver calls a feasible point


@dataclass(frozen=True, slots=True)
class Answer:
    """values: (columns,) float64, or None where nothing feasible was found. bound: no plan is worth more."""

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
    """Solve: the relaxation, a dive from it into whole parts, and a search only if the gap is still too wide.

    With whole=False the relaxation alone, whose objective is a bound for the whole problem.

    Raises
    ------
    ArithmeticError
        If the solver fails, breaks a row, or finds the model unbounded, which no checked problem is.
    """
    if not matrix.cost:
        return _without_columns(matrix)
    return _recounted(matrix, _run(matrix, settings, whole=whole))


def _run(matrix: Matrix, settings: Settings, *, whole: bool) -> Answer:
    started = time.perf_counter()
    highs = _relax(matrix, settings)
    relaxed = _answer(highs, matrix, started, is_whole=False)
    if not (whole and matrix.whole) or relaxed.status == "infeasible":
        return relaxed
    found = None
    if relaxed.objective is not None and relaxed.status == "optimal":
        found = dive(highs, matrix)
        if found is not None and _is_near(found[1], relaxed.objective, settings.gap):
            seconds = time.perf_counter() - started
            return Answer(_word(found[1], relaxed.objective), found[0], found[1], relaxed.objective, seconds)
    left = max(LEAST_SECONDS, settings.seconds - (time.perf_counter() - started))
    return _search(matrix, replace(settings, seconds=left), found, relaxed.bound, started)


def _recounted(matrix: Matrix, answer: Answer) -> Answer:
    """The answer with its worth added up again and its rows checked: what is told is never the solver's word alone."""
    if answer.values is None:
        return answer
    starts = np.array(matrix.starts)
    terms = np.append(np.array(matrix.value) * answer.values[matrix.index], 0.0)
    sums = np.where(np.diff(starts) > 0, np.add.reduceat(terms, starts[:-1]), 0.0) if matrix.labels else np.zeros(0)
    lower, upper = np.array(matrix.row_lower), np.array(matrix.row_upper)
    slack = ROW_TOLERANCE * (1.0 + np.abs(sums))
    broken = np.flatnonzero((sums < lower - slack) | (sums > upper + slack))
    if len(broken):
        row = int(broken[0])
        raise ArithmeticError(f"the solver's answer breaks row {row} {matrix.labels[row]}: {sums[row]}")
    return replace(answer, objective=float(np.array(matrix.cost) @ answer.values) + matrix.offset)


def _relax(matrix: Matrix, settings: Settings) -> Any:
    """The relaxation, solved: from the inside (four times as fast on large farms), and if that fails from the edges."""
    import highspy

    highs = _load(matrix, settings, whole=False)
    highs.setOptionValue("solver", "ipm")
    highs.run()
    highs.setOptionValue("solver", "simplex")
    if highs.getModelStatus() not in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kTimeLimit):
        highs.run()
    return highs


def _search(
    matrix: Matrix,
    settings: Settings,
    found: tuple[npt.NDArray[np.float64], float] | None,
    bound: float | None,
    started: float,
) -> Answer:
    """Branch from the plan of the dive, if there is one."""
    highs = _load(matrix, settings, whole=True)
    if found is not None:
        import highspy

        # HiGHS 1.16.0 carries a start wrongly through its presolve (a start worth 0.02 became one of 1.02, which was
        # then reported as the optimum), so the search runs without it.
        highs.setOptionValue("presolve", "off")
        start = highspy.HighsSolution()
        start.col_value = found[0].tolist()
        highs.setSolution(start)
    highs.run()
    answer = _answer(highs, matrix, started, is_whole=True)
    if found is not None and (answer.objective is None or answer.objective < found[1]):
        answer = replace(answer, values=found[0], objective=found[1])
    if bound is not None and (answer.bound is None or answer.bound > bound):
        answer = replace(answer, bound=bound)
    if answer.status != "infeasible" and answer.objective is not None and answer.bound is not None:
        near = _is_near(answer.objective, answer.bound, settings.gap)
        answer = replace(answer, status=_word(answer.objective, answer.bound) if near else "stopped")
    return answer


def _load(matrix: Matrix, settings: Settings, *, whole: bool) -> Any:
    import highspy

    highs = solver(settings)
    if highs.passModel(matrix.highs_model(whole=whole)) == highspy.HighsStatus.kError:
        raise ArithmeticError("the solver refused the model")
    return highs


def _is_near(objective: float, bound: float, gap: float) -> bool:
    return bound - objective <= max(gap, PROVEN) * max(1.0, abs(objective))


def _word(objective: float, bound: float) -> str:
    return "optimal" if bound - objective <= PROVEN * max(1.0, abs(objective)) else "gap"


def _without_columns(matrix: Matrix) -> Answer:
    """No column at all: the solver would call that "empty". Rows can only be rules that nothing fulfils."""
    clash = any(low > 0 or high < 0 for low, high in zip(matrix.row_lower, matrix.row_upper, strict=True))
    if clash:
        return Answer("infeasible", None, None, None, 0.0)
    return Answer("optimal", np.zeros(0), matrix.offset, matrix.offset, 0.0)


def _answer(highs: Any, matrix: Matrix, started: float, *, is_whole: bool) -> Answer:
    import highspy

    seconds = time.perf_counter() - started
    kinds = highspy.HighsModelStatus
    status, facts = highs.getModelStatus(), highs.getInfo()
    if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
        return Answer("infeasible", None, None, None, seconds)
    if status not in (kinds.kOptimal, kinds.kTimeLimit, kinds.kSolutionLimit, kinds.kIterationLimit, kinds.kInterrupt):
        raise ArithmeticError(f"the solver ended with {status}")
    is_found = facts.primal_solution_status == FEASIBLE
    values = np.array(highs.getSolution().col_value) if is_found else None
    objective = float(facts.objective_function_value) if is_found else None
    bound: float | None = objective if status == kinds.kOptimal else None
    if is_whole:
        bound = float(facts.mip_dual_bound)
    if bound is not None and not np.isfinite(bound):
        bound = None
    word = "stopped"
    if status == kinds.kOptimal and objective is not None and bound is not None:
        word = _word(objective, bound)
    if values is not None and is_whole:
        values[matrix.whole] = np.round(values[matrix.whole])
    return Answer(word, values, objective, bound, seconds)
