"""The stages of `test`: their order, where they stop, what is said at the end, and what they may not see."""

import contextlib
import re

import pytest

from farmops import testing
from farmops.throwaway_postgres import NoPostgres


@pytest.fixture
def runs(monkeypatch):
    """Commands that the stages would have run, with the database each was given; `failing` ones answer 3."""
    seen, failing = [], set()

    def run(command, environment):
        seen.append((" ".join(command), environment.get("DATABASE_URL", "sqlite")))
        return 3 if command[0] in failing else 0

    @contextlib.contextmanager
    def postgres():
        yield "postgres://farmops@/throwaway"

    monkeypatch.setattr(testing, "_run", run)
    monkeypatch.setattr(testing, "throwaway_postgres", postgres)
    monkeypatch.delenv("CI", raising=False)
    return seen, failing


def test_all_stages_run_in_their_order(runs, capsys):
    seen, _ = runs
    assert testing.run_tests([]) == 0
    unit = "pytest tests --ignore=tests/browser -m not season"
    assert seen == [
        ("ruff check .", "sqlite"),
        ("ruff format --check .", "sqlite"),
        ("djlint templates --lint --profile django --quiet --ignore H020,H030,H031,H043", "sqlite"),
        ("mypy", "sqlite"),
        ("django makemigrations --check --dry-run", "sqlite"),
        ("pytest tests/test_layers.py tests/test_limits.py", "sqlite"),
        (unit, "sqlite"),
        (unit, "postgres://farmops@/throwaway"),
        ("pytest tests/browser", "sqlite"),
        ("pytest tests --ignore=tests/browser -m season", "sqlite"),
    ]
    told = capsys.readouterr().out.splitlines()
    assert told[-1] == "All stages passed."
    assert [re.split(r"\s{2,}", line.strip())[:2] for line in told[-10:-1]] == [
        [stage.name, "ok"] for stage in testing.STAGES
    ]


def test_the_first_failure_ends_the_run_with_its_own_exit_code(runs, capsys):
    seen, failing = runs
    failing.add("mypy")
    assert testing.run_tests([]) == 3
    assert seen[-1] == ("mypy", "sqlite")
    told = capsys.readouterr().out.splitlines()
    assert told[-1] == "FAILED at: types"
    assert [re.split(r"\s{2,}", line.strip())[:2] for line in told[-4:-1]] == [
        ["lint", "ok"],
        ["templates", "ok"],
        ["types", "FAILED"],
    ]


@pytest.mark.parametrize(("in_ci", "code", "outcome"), [("", 0, "NOT RUN"), ("true", 1, "FAILED")])
def test_without_postgres_it_is_said_loudly_and_ci_fails(runs, monkeypatch, capsys, in_ci, code, outcome):
    @contextlib.contextmanager
    def none():
        raise NoPostgres("Run: this line")
        yield

    monkeypatch.setattr(testing, "throwaway_postgres", none)
    monkeypatch.setenv("CI", in_ci)
    assert testing.run_tests([]) == code
    out, err = capsys.readouterr()
    assert err.strip() == "!! NOT RUN: unit on PostgreSQL. Run: this line"
    line = next(line for line in out.splitlines() if line.startswith("  unit on PostgreSQL"))
    assert re.split(r"\s{2,}", line.strip())[1] == outcome


def test_with_arguments_pytest_alone_runs_on_the_database_that_was_named(runs, monkeypatch):
    seen, failing = runs
    monkeypatch.setenv("DATABASE_URL", "postgres://farm@/farm")
    failing.add("pytest")
    assert testing.run_tests(["tests/core", "-k", "exposure"]) == 3
    assert seen == [("pytest tests/core -k exposure", "postgres://farm@/farm")]


def test_a_run_never_sees_the_farms_records_nor_its_settings(monkeypatch):
    monkeypatch.setenv("DATABASE_URL", "postgres://farm@/farm")
    monkeypatch.setenv("FARMOPS_DATA", "/farm/records")
    monkeypatch.setenv("FARMOPS_DEBUG", "1")
    monkeypatch.setenv("FARMOPS_CHROME", "/opt/chrome")
    monkeypatch.setenv("PIP_FIND_LINKS", "/some/where")
    given = testing._environment("own", keep_database=False)
    ours = {name: value for name, value in given.items() if name.startswith("FARMOPS_")}
    assert ours == {"FARMOPS_DATA": "own", "FARMOPS_CHROME": "/opt/chrome"}
    assert "DATABASE_URL" not in given
    assert given["PIP_FIND_LINKS"] == "/some/where"
