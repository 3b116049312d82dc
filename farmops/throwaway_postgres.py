"""A PostgreSQL server for one test run: made in a temporary folder, reached by a socket in it, gone afterwards."""

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

from farmops import machine

USER = "farmops"


class NoPostgres(Exception):
    """No PostgreSQL can be had here; the words say why and what would bring it."""


@contextlib.contextmanager
def throwaway_postgres() -> Iterator[str]:
    """Start a server; yields the DATABASE_URL of its empty database. Raises NoPostgres."""
    programs = _programs()
    folder = Path(tempfile.mkdtemp(prefix="fpg"))  # short: the path of a socket may have 107 bytes
    try:
        _hand_over(folder)
        cluster, log = folder / "c", folder / "log"
        _run([programs / "initdb", "-D", cluster, "-U", USER, "-A", "trust", "-E", "UTF8", "--locale=C", "-N"])
        # Data of tests may be lost in a power cut: no fsync. No TCP port: two runs at once cannot collide.
        options = f"-k {folder} -c listen_addresses='' -c fsync=off -c full_page_writes=off"
        _run([programs / "pg_ctl", "-D", cluster, "-l", log, "-w", "-o", options, "start"])
        try:
            yield f"postgres://{USER}@{quote(str(folder), safe='')}/postgres"
        finally:
            _run([programs / "pg_ctl", "-D", cluster, "-m", "immediate", "-w", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _programs() -> Path:
    if sys.platform == "win32":
        raise NoPostgres("PostgreSQL is not tried on Windows, where it has no local socket to meet at")
    programs = machine.find_postgres()
    if programs is None and machine.may_install() and machine.apt_install(["postgresql"]):
        programs = machine.find_postgres()
    if programs is None:
        line = machine.remedy(
            ["postgresql"],
            mac="brew install postgresql@17",
            windows="",
            other="install your system's package with PostgreSQL's initdb",
        )
        raise NoPostgres(f"PostgreSQL's programs are not here. Run: {line}")
    if _is_root() and not _other_user():
        raise NoPostgres("PostgreSQL refuses to run as root, and there is no user 'postgres' to run it as")
    return programs


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _other_user() -> str | None:
    if sys.platform == "win32":
        return None
    import pwd

    with contextlib.suppress(KeyError):
        return pwd.getpwnam("postgres").pw_name
    return None


def _hand_over(folder: Path) -> None:
    if _is_root():
        shutil.chown(folder, "postgres")
        folder.chmod(0o755)  # the tests themselves run as root, other tools may not


def _run(command: list[Path | str]) -> None:
    other_user = "postgres" if _is_root() else None
    # Output to a file, not a pipe: the server inherits it, and a pipe would never close.
    with tempfile.TemporaryFile() as output:
        done = subprocess.run(  # noqa: S603 - PostgreSQL's own programs in a folder of ours
            [*map(str, command)],
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=output,
            cwd="/",
            check=False,
            user=other_user,
            group=other_user,
            extra_groups=[] if other_user else None,
        )
        output.seek(0)
        words = output.read().decode(errors="replace")
    if done.returncode:
        raise NoPostgres(f"{Path(str(command[0])).name} failed: {words.strip()}")
