"""Makes `.venv` with all libraries, and runs the command inside it. Standard library only: nothing is there before.

The environment of the caller is passed on untouched, so that a machine's own settings (where libraries are fetched
from, which certificates count) hold here as everywhere; only what is not set at all gets a default. Nothing here asks
a question, and all it has to say goes to stderr.
"""

import contextlib
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

from farmops import machine
from farmops.machine import say

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
STAMP = ENVIRONMENT / "farmops-stamp.json"
LOCKED = {
    "run": ROOT / "requirements.txt",
    "test": ROOT / ".requirements" / "test.txt",
    "postgres": ROOT / ".requirements" / "postgres.txt",
}


def enter_environment(argv: list[str]) -> None:
    """Return inside `.venv` with all that the command needs; outside it, run the same command there instead."""
    os.environ.setdefault("PATH", machine.PATH_WHEN_UNSET)
    # Answers are UTF-8 on every system, also where the console's own code page is another.
    os.environ.setdefault("PYTHONUTF8", "1")
    command = argv[1] if len(argv) > 1 else ""
    with _one_at_a_time():
        was_current = ensure_libraries(wanted_sets(command))
    if command == "start":
        _tell_of_pdf_libraries(install=not was_current)
    elif command == "test" and len(argv) == 2:
        ensure_test_machine()
    if not _is_inside():
        _run_inside(argv)


def wanted_sets(command: str) -> list[str]:
    """Which of the locked sets of libraries a command needs."""
    if command == "test":
        return ["run", "test", "postgres"]
    return ["run", "postgres"] if os.environ.get("DATABASE_URL") else ["run"]


def environment_python() -> Path:
    return ENVIRONMENT / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def _is_inside() -> bool:
    return Path(sys.prefix).resolve() == ENVIRONMENT.resolve()


def _run_inside(argv: list[str]) -> NoReturn:
    command = [str(environment_python()), str(ROOT / "manage.py"), *argv[1:]]
    if sys.platform != "win32":
        os.execv(command[0], command)  # noqa: S606 - no shell is meant
    # On Windows exec returns to the shell at once and the exit code is lost, so this process waits instead; Ctrl-C
    # reaches both, and the inner one decides when to end.
    with subprocess.Popen(command) as inner:  # noqa: S603 - our own interpreter and the caller's arguments
        while True:
            with contextlib.suppress(KeyboardInterrupt):
                sys.exit(inner.wait())


@contextlib.contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Keep two commands from building the environment at once. Windows cannot lock a folder: there, no lock."""
    if sys.platform == "win32":
        yield
        return
    import fcntl

    folder = os.open(ROOT, os.O_RDONLY)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def ensure_libraries(sets: list[str]) -> bool:
    """Make or mend the environment so that it holds the locked sets; True when nothing had to be done."""
    version = _version_inside()
    stamp = read_stamp()
    if version is None or version < (3, 11):
        if _is_inside():
            raise SystemExit("The folder .venv does not work. Delete it and run the same command with python3.")
        _make_environment()
        version, stamp = sys.version_info[:2], {}
    python = f"{version[0]}.{version[1]}"
    if stamp.get("python") != python:
        stamp = {"python": python}
    stale = [name for name in sets if stamp.get(name) != lock_hash(LOCKED[name])]
    for name in stale:
        _install(name)
        stamp[name] = lock_hash(LOCKED[name])
        # Only now: a set-up that was cut short leaves no mark, and is taken up again by the next command.
        STAMP.write_text(json.dumps(stamp, indent=1), encoding="ascii")
    return not stale


def lock_hash(path: Path) -> str:
    # Line ends do not count: a checkout on Windows may have changed them.
    return hashlib.sha256(path.read_bytes().replace(b"\r\n", b"\n")).hexdigest()


def read_stamp() -> dict[str, str]:
    """What the environment is known to hold; empty when unknown or unreadable."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="ascii"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def _version_inside() -> tuple[int, int] | None:
    """Python's version inside the environment; None when there is none, or only a broken half."""
    if _is_inside():
        return sys.version_info[:2]
    asked = "import sys, importlib.util as u; print(*sys.version_info[:2], u.find_spec('pip') is not None)"
    try:
        answer = subprocess.run(  # noqa: S603 - our own interpreter
            [environment_python(), "-I", "-c", asked],
            capture_output=True,
            text=True,
            check=True,
            stdin=subprocess.DEVNULL,
        ).stdout.split()
    except (OSError, subprocess.CalledProcessError):
        return None
    return (int(answer[0]), int(answer[1])) if answer[2:] == ["True"] else None


def _make_environment() -> None:
    """A fresh `.venv` with the Python that runs this."""
    if ENVIRONMENT.exists():
        say("The folder .venv was half made or belongs to a Python that is gone; making it anew.")
        shutil.rmtree(ENVIRONMENT)
    if importlib.util.find_spec("ensurepip") is None:
        _bring_ensurepip()
    say(f"Making .venv with Python {sys.version_info.major}.{sys.version_info.minor} ...")
    made = subprocess.run(  # noqa: S603 - the interpreter that runs this
        [sys.executable, "-m", "venv", str(ENVIRONMENT)], stdin=subprocess.DEVNULL, stdout=sys.stderr, check=False
    )
    if made.returncode:
        shutil.rmtree(ENVIRONMENT, ignore_errors=True)
        raise SystemExit(
            f"Python could not make the folder {ENVIRONMENT} (its own words are above). "
            "Is the disk full, or the folder not yours to write to? Mend that and run the same command again."
        )


def _bring_ensurepip() -> None:
    """Debian keeps the part of Python that makes environments in a package of its own."""
    general, exact = "python3-venv", f"python{sys.version_info.major}.{sys.version_info.minor}-venv"
    if machine.may_install():
        machine.apt_install([general])
        importlib.invalidate_caches()
        if importlib.util.find_spec("ensurepip") is not None:
            return
        line = machine.apt_line([exact])
    else:
        line = machine.remedy(
            [general],
            mac="brew install python",
            windows="install Python anew from its usual installer, with 'pip' ticked",
            other="install your system's package with Python's venv and pip",
        )
    raise SystemExit(
        f"This Python lacks the part that makes environments (ensurepip). Run\n    {line}\nthen the same command again."
    )


def _install(name: str) -> None:
    """Install one locked set; every file is held against its hash."""
    say(f"Fetching the libraries for '{name}' (once, and again only when their list changes) ...")
    pip = [str(environment_python()), "-m", "pip", "--disable-pip-version-check", "--no-input", "install", "--quiet"]
    done = subprocess.run(  # noqa: S603 - our own interpreter and our own list
        [*pip, "--prefer-binary", "--require-hashes", "-r", str(LOCKED[name])],
        stdin=subprocess.DEVNULL,
        stdout=sys.stderr,
        check=False,
    )
    if done.returncode:
        raise SystemExit(
            "The libraries could not be installed (pip's own words are above). Check the network connection, "
            "then run the same command again: it goes on where it stopped."
        )


def _tell_of_pdf_libraries(*, install: bool) -> None:
    """PDFs need libraries of the system; without them the same pages can be printed from the browser."""
    missing = machine.missing_pdf_packages()
    if missing and install and machine.may_install() and machine.apt_install(missing):
        missing = machine.missing_pdf_packages()
    if missing:
        say(f"No PDF files until this is done (printing from the browser works): {machine.pdf_remedy(missing)}")


def ensure_test_machine() -> None:
    """Have all the tests need of the computer, or end with the exact lines that bring it; nothing is left out."""
    needed = test_machine_needs()
    if (
        needed
        and machine.may_install()
        and machine.apt_install(sorted({p for packages, _ in needed for p in packages}))
    ):
        needed = test_machine_needs()
    if needed:
        lines = "\n".join(f"  {words}" for _, words in needed)
        raise SystemExit(
            f"The tests need more of this computer than it has:\n{lines}\nThen run the same command again."
        )


def test_machine_needs() -> list[tuple[list[str], str]]:
    """What is missing for the tests: Debian's packages, and the words for a person."""
    needed: list[tuple[list[str], str]] = []
    if missing := machine.missing_pdf_packages():
        needed.append((missing, f"for PDFs: {machine.pdf_remedy(missing)}"))
    if machine.find_browser() is None:
        needed.append((["chromium"], f"a browser: {machine.browser_remedy(environment_python())}"))
    driver = machine.browser_driver(ENVIRONMENT)
    for soname in machine.missing_sonames(driver) if driver else []:
        package = machine.PACKAGE_OF_SONAME.get(soname)
        words = f"install the package with {soname}"
        line = machine.remedy([package], mac=words, windows=words, other=words) if package else words
        needed.append(([package] if package else [], f"{soname}, which the browser's driver needs: {line}"))
    return needed
