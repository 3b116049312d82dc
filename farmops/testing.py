"""The command `test`: all stages in order, stopping at the first that fails; with arguments, pytest alone."""

import contextlib
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from farmops.machine import say
from farmops.throwaway_postgres import NoPostgres, throwaway_postgres

ROOT = Path(__file__).resolve().parent.parent
# What a run may take over from the caller's settings of this product; all else would make runs differ.
KEPT_SETTINGS = {"FARMOPS_CHROME", "FARMOPS_NO_APT", "FARMOPS_PICTURES"}
# An empty <progress> is how one is written; descriptions for search engines have no place on a farm's own computer;
# and every button here sends its form, as a button does unless told otherwise.
NOT_MEANT = ("--ignore", "H020,H030,H031,H043")
UNIT = ("pytest", "tests", "--ignore=tests/browser", "-m", "not season")


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the run; its commands are arguments of `python -m`."""

    name: str
    commands: tuple[tuple[str, ...], ...]
    needs_postgres: bool = False


@dataclass(slots=True)
class Report:
    """How each stage went, for the lines at the end."""

    lines: list[str] = field(default_factory=list)
    last: str = ""

    def add(self, name: str, outcome: str, seconds: float) -> None:
        self.last = name
        self.lines.append(f"  {name:<24}{outcome:<10}{seconds:7.1f} s")


STAGES = (
    Stage("lint", (("ruff", "check", "."), ("ruff", "format", "--check", "."))),
    Stage("templates", (("djlint", "templates", "--lint", "--profile", "django", "--quiet", *NOT_MEANT),)),
    Stage("types", (("mypy",),)),
    Stage("migrations complete", (("django", "makemigrations", "--check", "--dry-run"),)),
    Stage("layers", (("pytest", "tests/test_layers.py", "tests/test_limits.py"),)),
    Stage("unit on SQLite", (UNIT,)),
    Stage("unit on PostgreSQL", (UNIT,), needs_postgres=True),
    Stage("browser", (("pytest", "tests/browser"),)),
    Stage("a small season", (("pytest", "tests", "--ignore=tests/browser", "-m", "season"),)),
)


def run_tests(arguments: list[str]) -> int:
    """Run all stages, or pytest with `arguments`. The exit code is that of the first failure."""
    with tempfile.TemporaryDirectory(prefix="farmops-test") as folder:
        environment = _environment(folder, keep_database=bool(arguments))
        if arguments:
            return _run(("pytest", *arguments), environment)
        report = Report()
        code = _run_stages(report, environment)
    print("\nStages:", *report.lines, sep="\n")
    print("All stages passed." if code == 0 else f"FAILED at: {report.last}", flush=True)
    return code


def _run_stages(report: Report, environment: Mapping[str, str]) -> int:
    for stage in STAGES:
        if stage.name == "templates" and not any((ROOT / "templates").rglob("*.html")):
            report.add(stage.name, "none yet", 0.0)
            continue
        print(f"\n== {stage.name} ==", flush=True)
        begun = time.perf_counter()
        code, outcome = _run_stage(stage, environment)
        report.add(stage.name, outcome, time.perf_counter() - begun)
        if code:
            return code
    return 0


def _run_stage(stage: Stage, environment: Mapping[str, str]) -> tuple[int, str]:
    try:
        with _database(stage) as settings:
            for command in stage.commands:
                if code := _run(command, {**environment, **settings}):
                    return code, "FAILED"
    except NoPostgres as reason:
        say(f"\n!! NOT RUN: {stage.name}. {reason}\n")
        return (1, "FAILED") if os.environ.get("CI") == "true" else (0, "NOT RUN")
    return 0, "ok"


@contextlib.contextmanager
def _database(stage: Stage) -> Iterator[dict[str, str]]:
    if not stage.needs_postgres:
        yield {}
        return
    with throwaway_postgres() as url:
        yield {"DATABASE_URL": url}


def _environment(folder: str, *, keep_database: bool) -> dict[str, str]:
    """The caller's environment, with a data folder of this run's own: tests never see the farm's records."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if (not name.startswith("FARMOPS_") or name in KEPT_SETTINGS) and (name != "DATABASE_URL" or keep_database)
    }
    return {**kept, "FARMOPS_DATA": folder, "DJANGO_SETTINGS_MODULE": "farmops.settings"}


def _run(command: tuple[str, ...], environment: Mapping[str, str]) -> int:
    return subprocess.run(  # noqa: S603 - our own interpreter and fixed words or the caller's own arguments
        [sys.executable, "-m", *command], cwd=ROOT, env=environment, check=False
    ).returncode
