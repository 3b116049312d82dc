import json
import subprocess
import sys
from dataclasses import replace

import pytest

from farmops.core.sizing import Settings, solve
from farmops.core.sizing.plain import to_plain
from farmops.planning import solver
from tests.core.sizing.hand_farm import hand_farm

TIMELESS = {"model_seconds": 0.0, "solver_seconds": 0.0}


def test_the_child_gives_the_same_plan():
    apart = solver.solve_apart(hand_farm(20), Settings(gap=0.0))
    here = solve(hand_farm(20), Settings(gap=0.0))
    assert replace(apart, **TIMELESS) == replace(here, **TIMELESS)


def test_stdout_of_the_child_is_the_answer_alone():
    asked = json.dumps({"problem": to_plain(hand_farm(20)), "settings": to_plain(Settings())})
    child = subprocess.run(
        [sys.executable, "-m", "farmops.planning.solver"],
        input=asked,
        capture_output=True,
        encoding="utf-8",
        cwd=solver.ROOT,
        check=True,
    )
    assert list(json.loads(child.stdout)) == ["plan"]
    assert "HiGHS" in child.stderr  # the banner went where it harms nobody


def test_a_refused_problem_is_refused_in_the_same_words():
    with pytest.raises(ValueError, match="at least one week, got 0"):
        solver.solve_apart(replace(hand_farm(20), weeks=0))


def test_a_child_that_hangs_is_ended(monkeypatch, tmp_path):
    hang = tmp_path / "python"
    hang.write_text("#!/bin/sh\nexec sleep 60\n", encoding="utf-8")
    hang.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(hang))
    monkeypatch.setattr(solver, "GRACE_SECONDS", 0.2)
    with pytest.raises(solver.SolverFailed, match="no answer within"):
        solver.solve_apart(hand_farm(20), Settings(seconds=0.1))


def test_a_child_that_dies_is_told(monkeypatch, tmp_path):
    dead = tmp_path / "python"
    dead.write_text("#!/bin/sh\nexit 3\n", encoding="utf-8")
    dead.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(dead))
    with pytest.raises(solver.SolverFailed, match="code 3"):
        solver.solve_apart(hand_farm(20))
