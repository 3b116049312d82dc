"""What is said where no PostgreSQL can be had; that one can be started and is gone again, the stage itself shows."""

import pytest

from farmops import machine, throwaway_postgres
from farmops.throwaway_postgres import NoPostgres


def told(monkeypatch):
    monkeypatch.setattr(machine, "may_install", lambda: False)
    with pytest.raises(NoPostgres) as refusal, throwaway_postgres.throwaway_postgres():
        pass
    return str(refusal.value)


def test_missing_programs_are_named_with_the_line_that_brings_them(monkeypatch):
    monkeypatch.setattr(machine, "find_postgres", lambda: None)
    monkeypatch.setattr(machine, "remedy", lambda packages, **words: machine.apt_line(packages))
    assert told(monkeypatch) == (
        "PostgreSQL's programs are not here. Run: sudo apt-get install -y --no-install-recommends postgresql"
    )


def test_programs_that_fail_are_quoted_and_leave_nothing_behind(monkeypatch, tmp_path):
    (tmp_path / "bin").mkdir()
    initdb = tmp_path / "bin" / "initdb"
    initdb.write_text("#!/bin/sh\necho no room left\nexit 1\n", encoding="ascii")
    initdb.chmod(0o755)
    monkeypatch.setattr(machine, "find_postgres", lambda: initdb.parent)
    monkeypatch.setattr(throwaway_postgres, "_is_root", lambda: False)
    monkeypatch.setattr(throwaway_postgres.tempfile, "tempdir", str(tmp_path))
    assert told(monkeypatch) == "initdb failed: no room left"
    assert [path.name for path in tmp_path.iterdir()] == ["bin"]


def test_as_root_it_needs_another_user(monkeypatch, tmp_path):
    monkeypatch.setattr(machine, "find_postgres", lambda: tmp_path)
    monkeypatch.setattr(throwaway_postgres, "_is_root", lambda: True)
    monkeypatch.setattr(throwaway_postgres, "_other_user", lambda: None)
    assert told(monkeypatch) == ("PostgreSQL refuses to run as root, and there is no user 'postgres' to run it as")
