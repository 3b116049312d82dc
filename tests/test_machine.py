"""What is looked for on the computer, and what is said where it is missing."""

import shutil
import stat
import subprocess
import sys

import pytest

from farmops import machine


def program(path, body="exit 0"):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\n{body}\n", encoding="ascii")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


@pytest.fixture
def bare(tmp_path, monkeypatch):
    """A computer with nothing on its search path but what the test puts there."""
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("PLAYWRIGHT_BROWSERS_PATH", raising=False)
    monkeypatch.delenv("FARMOPS_CHROME", raising=False)
    return tmp_path


def test_browsers_are_taken_in_order_and_the_named_one_first(bare, monkeypatch):
    assert machine.find_browser() is None
    downloaded = program(bare / ".cache" / "ms-playwright" / "chromium-1" / "chrome-linux" / "chrome")
    assert machine.find_browser() == str(downloaded)
    google = program(bare / "bin" / "google-chrome")
    assert machine.find_browser() == str(google)
    chromium = program(bare / "bin" / "chromium")
    assert machine.find_browser() == str(chromium)
    monkeypatch.setenv("FARMOPS_CHROME", str(google))
    assert machine.find_browser() == str(google)


def test_a_browser_named_wrongly_is_never_replaced_by_another(bare, monkeypatch):
    program(bare / "bin" / "chromium")
    monkeypatch.setenv("FARMOPS_CHROME", "/no/such/browser")
    with pytest.raises(SystemExit, match="FARMOPS_CHROME names '/no/such/browser'"):
        machine.find_browser()


@pytest.mark.parametrize(
    ("platform", "has_apt", "line"),
    [
        ("linux", True, "sudo apt-get install -y --no-install-recommends chromium"),
        ("linux", False, "other"),
        ("darwin", False, "mac"),
        ("win32", False, "windows"),
    ],
)
def test_each_system_gets_its_own_line(bare, monkeypatch, platform, has_apt, line):
    if has_apt:
        program(bare / "bin" / "apt-get")
    monkeypatch.setattr(machine.sys, "platform", platform)
    assert machine.remedy(["chromium"], mac="mac", windows="windows", other="other") == line


@pytest.mark.parametrize(
    ("user", "has_apt", "forbidden", "may"),
    [(0, True, "", True), (0, True, "1", False), (0, False, "", False), (1000, True, "", False)],
)
def test_packages_are_installed_only_as_root_with_apt_and_unless_forbidden(
    bare, monkeypatch, user, has_apt, forbidden, may
):
    if has_apt:
        program(bare / "bin" / "apt-get")
    monkeypatch.setattr(machine.os, "geteuid", lambda: user, raising=False)
    monkeypatch.setenv("FARMOPS_NO_APT", forbidden)
    assert machine.may_install() is may


def test_apt_is_asked_again_after_an_update_and_never_asks_itself(bare, capfd):
    apt = 'echo "$DEBIAN_FRONTEND $RUNLEVEL: $@"; case "$@" in *update*) echo > ready;; esac; [ -e ready ]'
    program(bare / "bin" / "apt-get", f"cd {bare}; {apt}")
    assert machine.apt_install(["libatomic1"]) is True
    install = "-q -y -o DPkg::Lock::Timeout=120 install --no-install-recommends libatomic1"
    out, err = capfd.readouterr()
    assert out == ""
    assert err.splitlines() == [
        "Installing with apt-get: libatomic1",
        f"noninteractive 1: {install}",
        "noninteractive 1: -q update",
        f"noninteractive 1: {install}",
    ]


def test_apt_that_cannot_is_said_to_have_failed(bare):
    program(bare / "bin" / "apt-get", "exit 100")
    assert machine.apt_install(["libatomic1"]) is False


def test_libraries_a_program_lacks_are_read_from_ldd(bare):
    answer = (
        "linux-vdso.so.1 (0x00007ffd)\\n\\tlibatomic.so.1 => not found\\n\\tlibc.so.6 => /lib/libc.so.6 (0x7f)\\n"
        "\\tlibz.so.1 => not found\\n"
    )
    program(bare / "bin" / "ldd", f"/usr/bin/printf '{answer}'")
    assert machine.missing_sonames(bare / "node") == ["libatomic.so.1", "libz.so.1"]


def test_the_python_that_runs_this_lacks_nothing():
    assert shutil.which("ldd") or sys.platform != "linux", "ldd belongs to the C library of every Linux"
    assert machine.missing_sonames(machine.Path(sys.executable)) == []


def test_the_driver_of_the_browser_is_found_and_starts():
    driver = machine.browser_driver(machine.Path(sys.prefix))
    assert driver is not None
    assert subprocess.run([driver, "--version"], capture_output=True, text=True).stdout.startswith("v")


def test_libraries_for_pdf_are_those_the_pdf_maker_loads():
    """Each library we look for is one that the PDF maker itself names; were it renamed there, this would tell."""
    ffi = next(machine.Path(sys.prefix).glob("[Ll]ib*/**/weasyprint/text/ffi.py")).read_text(encoding="utf-8")
    assert [soname for soname, _, _ in machine.PDF_LIBRARIES if f"'{soname}'" not in ffi] == []


def test_a_missing_library_is_named_by_its_package(monkeypatch):
    monkeypatch.setattr(machine.sys, "platform", "linux")
    monkeypatch.setattr(machine, "PDF_LIBRARIES", (("libnowhere.so.7", "nowhere", "libnowhere7"),))
    assert machine.missing_pdf_packages() == ["libnowhere7"]
