"""The sizing programme in a process of its own, so that a solver that hangs never takes the app with it.

The child reads one JSON object from stdin and writes one to stdout. Whatever the solver prints goes to stderr.
"""

from __future__ import annotations

import json
import logging
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from farmops.core.sizing.plain import from_plain, to_plain
from farmops.core.sizing.plan import Plan
from farmops.core.sizing.planner import solve
from farmops.core.sizing.problem import Problem, Settings

log = logging.getLogger(__name__)

GRACE_SECONDS = 5.0  # time limits are not always kept: this long after it the child is ended
ROOT = Path(__file__).resolve().parent.parent.parent


class SolverFailed(Exception):
    """The solver gave no answer: it hung, or it fell over. The plan accepted before stays as it is."""


def solve_apart(problem: Problem, settings: Settings | None = None) -> Plan:
    """Plan in a child process.

    Raises
    ------
    ValueError
        If the problem itself is refused; the message says what to change.
    SolverFailed
        If the child hung and was ended, or died.
    """
    settings = settings or Settings()
    asked = json.dumps({"problem": to_plain(problem), "settings": to_plain(settings)}, allow_nan=False)
    answer = _ask_child(asked, settings.seconds + GRACE_SECONDS)
    if "refused" in answer:
        raise ValueError(answer["refused"])
    if "failed" in answer:
        raise SolverFailed(answer["failed"])
    return from_plain(Plan, answer["plan"])


def _ask_child(asked: str, seconds: float) -> dict[str, Any]:  # JSON
    try:
        child = subprocess.run(  # our own module, no words of a user on the command line
            [sys.executable, "-m", "farmops.planning.solver"],
            input=asked,
            capture_output=True,
            encoding="utf-8",
            timeout=seconds,
            cwd=ROOT,
            env={**os.environ, "OMP_NUM_THREADS": "1", "PYTHONUTF8": "1"},
        )
    except subprocess.TimeoutExpired as error:
        log.warning("planning.solver_hung", extra={"seconds": seconds})
        raise SolverFailed(f"no answer within {seconds:.0f} seconds") from error
    if child.returncode != 0:
        log.warning("planning.solver_died", extra={"code": child.returncode, "words": child.stderr[-2000:]})
        raise SolverFailed(f"the solver's process ended with code {child.returncode}")
    answer: dict[str, Any] = json.loads(child.stdout)
    return answer


def answer(asked: dict[str, Any]) -> dict[str, Any]:  # JSON on both sides
    """What the child says: a plan, or why the problem is refused, or how the solver failed."""
    try:
        problem = from_plain(Problem, asked["problem"])
        settings = from_plain(Settings, asked["settings"])
        return {"plan": to_plain(solve(problem, settings))}
    except ValueError as error:
        return {"refused": str(error)}
    except (ArithmeticError, ImportError) as error:  # the solver fell over, or this machine has none
        return {"failed": str(error)}


def main() -> None:
    """Answer one question. File descriptor 1 becomes stderr first, because the solver prints to it by itself."""
    sys.stdin.reconfigure(encoding="utf-8")  # type: ignore[union-attr]  # a real stdin in a child
    real_stdout = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    with real_stdout:
        json.dump(answer(json.load(sys.stdin)), real_stdout, allow_nan=False)


if __name__ == "__main__":
    main()
