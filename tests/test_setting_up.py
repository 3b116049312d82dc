"""Setting up: what is made, what is mended, what is said. Libraries are never really fetched here."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from farmops import machine, setting_up

VERSION = f"{sys.version_info.major}.{sys.version_info.minor}"


@pytest.fixture
def installed(tmp_path, monkeypatch):
    """A checkout in an empty folder; the list holds the sets that would have been installed."""
    monkeypatch.setattr(setting_up, "ROOT", tmp_path)
    monkeypatch.setattr(setting_up, "ENVIRONMENT", tmp_path / ".venv")
    monkeypatch.setattr(setting_up, "STAMP", tmp_path / ".venv" / "farmops-stamp.json")
    locked = {name: tmp_path / f"{name}.txt" for name in ("run", "test", "postgres")}
    for name, path in locked.items():
        path.write_text(f"{name}==1\n", encoding="ascii")
    monkeypatch.setattr(setting_up, "LOCKED", locked)
    names = []
    monkeypatch.setattr(setting_up, "_install", names.append)
    return names


@pytest.fixture
def working(monkeypatch):
    """The environment is there and works, without the seconds that making one takes."""
    monkeypatch.setattr(setting_up, "_version_inside", lambda: sys.version_info[:2])
    setting_up.ENVIRONMENT.mkdir()


def test_a_fresh_checkout_gets_an_environment_and_the_next_command_does_nothing(installed, capfd):
    assert setting_up.ensure_libraries(["run"]) is False
    assert installed == ["run"]
    inside = subprocess.run(
        [setting_up.environment_python(), "-c", "import sys; print(sys.prefix)"], capture_output=True, text=True
    )
    assert inside.stdout.strip() == str(setting_up.ENVIRONMENT)
    assert setting_up.ensure_libraries(["run"]) is True
    assert installed == ["run"]
    assert capfd.readouterr().out == ""


def test_a_half_made_environment_is_made_anew(installed, capfd):
    python = setting_up.environment_python()
    python.parent.mkdir(parents=True)
    python.symlink_to("/nowhere/python3")
    assert setting_up.ensure_libraries(["run"]) is False
    assert installed == ["run"]
    assert setting_up._version_inside() == sys.version_info[:2]
    assert "half made" in capfd.readouterr().err


def test_a_set_up_cut_short_leaves_no_mark_and_is_taken_up_again(installed, working, monkeypatch):
    def no_network(name):
        raise SystemExit("no network")

    with monkeypatch.context() as cut:
        cut.setattr(setting_up, "_install", no_network)
        with pytest.raises(SystemExit, match="no network"):
            setting_up.ensure_libraries(["run"])
    assert setting_up.read_stamp() == {}
    setting_up.ensure_libraries(["run"])
    assert installed == ["run"]


def test_only_the_sets_that_are_wanted_and_stale_are_installed(installed, working):
    setting_up.ensure_libraries(["run", "test"])
    setting_up.LOCKED["test"].write_text("test==2\n", encoding="ascii")
    setting_up.ensure_libraries(["run"])
    assert installed == ["run", "test"]
    setting_up.ensure_libraries(["run", "test"])
    assert installed == ["run", "test", "test"]


def test_another_python_inside_means_all_sets_anew(installed, working):
    setting_up.ensure_libraries(["run"])
    assert setting_up.read_stamp()["python"] == VERSION
    stamp = {**setting_up.read_stamp(), "python": "3.9"}
    setting_up.STAMP.write_text(json.dumps(stamp), encoding="ascii")
    setting_up.ensure_libraries(["run"])
    assert installed == ["run", "run"]


@pytest.mark.parametrize("broken", ["", "{", "[]", '"run"'])
def test_an_unreadable_stamp_counts_as_none(installed, working, broken):
    setting_up.STAMP.write_text(broken, encoding="ascii")
    assert setting_up.read_stamp() == {}


def test_line_ends_of_windows_do_not_change_the_hash(tmp_path):
    (tmp_path / "a").write_bytes(b"x==1\r\ny==2\r\n")
    (tmp_path / "b").write_bytes(b"x==1\ny==2\n")
    assert setting_up.lock_hash(tmp_path / "a") == setting_up.lock_hash(tmp_path / "b")


@pytest.mark.parametrize(
    ("command", "url", "sets"),
    [
        ("start", "", ["run"]),
        ("", "", ["run"]),
        ("bring", "postgres://farm@/farm", ["run", "postgres"]),
        ("test", "", ["run", "test", "postgres"]),
    ],
)
def test_which_libraries_a_command_needs(monkeypatch, command, url, sets):
    monkeypatch.setenv("DATABASE_URL", url)
    assert setting_up.wanted_sets(command) == sets


def test_an_older_python_is_told_so_before_anything_else():
    source = (setting_up.ROOT / "manage.py").read_text(encoding="utf-8")
    older = f"import sys; sys.version_info = (3, 9, 2, 'final', 0)\n{source}"
    told = subprocess.run([sys.executable, "-I", "-c", older], capture_output=True, text=True)
    assert told.returncode == 1
    assert told.stdout == ""
    assert told.stderr.startswith("Bench to Stall needs Python 3.11 or newer; this is Python 3.9. ")


def test_without_ensurepip_and_without_root_the_exact_line_is_named(installed, monkeypatch):
    monkeypatch.setattr(setting_up.importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(machine, "may_install", lambda: False)
    monkeypatch.setattr(machine.sys, "platform", "linux")
    monkeypatch.setattr(machine.shutil, "which", lambda name: f"/usr/bin/{name}")
    with pytest.raises(SystemExit) as told:
        setting_up.ensure_libraries(["run"])
    assert str(told.value) == (
        "This Python lacks the part that makes environments (ensurepip). Run\n"
        "    sudo apt-get install -y --no-install-recommends python3-venv\n"
        "then the same command again."
    )
    assert not setting_up.ENVIRONMENT.exists()


def test_what_the_tests_need_is_named_all_at_once(monkeypatch):
    monkeypatch.setattr(machine, "may_install", lambda: False)
    monkeypatch.setattr(machine, "missing_pdf_packages", lambda: ["libpangoft2-1.0-0"])
    monkeypatch.setattr(machine, "find_browser", lambda: None)
    monkeypatch.setattr(machine, "browser_driver", lambda environment: Path("node"))
    monkeypatch.setattr(machine, "missing_sonames", lambda program: ["libatomic.so.1", "libodd.so.9"])
    monkeypatch.setattr(machine, "remedy", lambda packages, **words: machine.apt_line(packages))
    with pytest.raises(SystemExit) as told:
        setting_up.ensure_test_machine()
    apt = "sudo apt-get install -y --no-install-recommends"
    assert str(told.value).splitlines() == [
        "The tests need more of this computer than it has:",
        f"  for PDFs: {apt} libpangoft2-1.0-0",
        f"  a browser: {apt} chromium",
        f"  libatomic.so.1, which the browser's driver needs: {apt} libatomic1",
        "  libodd.so.9, which the browser's driver needs: install the package with libodd.so.9",
        "Then run the same command again.",
    ]


def test_nothing_is_said_on_stdout_and_the_environment_is_passed_on(tmp_path):
    """Any command, run by the bare interpreter, arrives inside the environment with what the caller had set."""
    asked = "import os, sys; print(sys.prefix == os.environ['WANTED'], os.environ.get('PIP_FIND_LINKS'))"
    environment = {
        "WANTED": str(setting_up.ENVIRONMENT),
        "PIP_FIND_LINKS": "/some/where",
        "FARMOPS_DATA": str(tmp_path),
    }
    done = subprocess.run(
        [sys._base_executable, "manage.py", "shell", "-v", "0", "-c", asked],
        cwd=setting_up.ROOT,
        env={**environment, "HOME": os.path.expanduser("~")},
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
    )
    assert (done.returncode, done.stdout) == (0, "True /some/where\n"), done.stderr
