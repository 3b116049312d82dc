"""What the computer itself must have: system libraries, a browser, PostgreSQL's programs. Standard library only.

Looked for on every system; installed only on Debian and its kin, only as root, and never when FARMOPS_NO_APT is
set. Everywhere else the exact line to type is named, so that nothing is left out silently.
"""

import ctypes
import ctypes.util
import os
import shutil
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

# Soname, the name other systems know it by, and Debian's package. PDF making loads these at run time, so pip cannot
# know of them; pangoft2 brings pango, harfbuzz, glib, fontconfig and a font along.
PDF_LIBRARIES = (
    ("libpangoft2-1.0.so.0", "pangoft2-1.0", "libpangoft2-1.0-0"),
    ("libharfbuzz-subset.so.0", "harfbuzz-subset", "libharfbuzz-subset0"),
)
# A missing soname as `ldd` prints it, and the Debian package that brings it.
PACKAGE_OF_SONAME = {"libatomic.so.1": "libatomic1", "libstdc++.so.6": "libstdc++6", "libgcc_s.so.1": "libgcc-s1"}
PATH_WHEN_UNSET = "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin"

BROWSER_COMMANDS = ("chromium", "google-chrome", "google-chrome-stable", "chromium-browser", "msedge", "chrome")
BROWSER_PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    r"%PROGRAMFILES%\Google\Chrome\Application\chrome.exe",
    r"%PROGRAMFILES(X86)%\Google\Chrome\Application\chrome.exe",
    r"%LOCALAPPDATA%\Google\Chrome\Application\chrome.exe",
    r"%PROGRAMFILES(X86)%\Microsoft\Edge\Application\msedge.exe",
    r"%PROGRAMFILES%\Microsoft\Edge\Application\msedge.exe",
)
POSTGRES_PLACES = (
    "/usr/lib/postgresql/*/bin",
    "/usr/pgsql-*/bin",
    "/opt/homebrew/opt/postgresql*/bin",
    "/usr/local/opt/postgresql*/bin",
    "/Library/PostgreSQL/*/bin",
)


def say(text: str) -> None:
    """Tell the person, on stderr: stdout carries answers alone."""
    print(text, file=sys.stderr, flush=True)


def may_install() -> bool:
    """Whether system packages may be installed from here: root, apt-get there, and not forbidden."""
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return is_root and shutil.which("apt-get") is not None and not os.environ.get("FARMOPS_NO_APT")


def apt_line(packages: Iterable[str]) -> str:
    return "sudo apt-get install -y --no-install-recommends " + " ".join(packages)


def apt_install(packages: list[str]) -> bool:
    """Install Debian packages without a question; False when that did not work."""
    say(f"Installing with apt-get: {' '.join(packages)}")
    # RUNLEVEL=1: a package that brings a service must not start it; we only want its programs.
    # dpkg refuses to work without the folders for root's programs on its path.
    path = f"{os.environ.get('PATH', '')}:{PATH_WHEN_UNSET}"
    environment = {**os.environ, "PATH": path, "DEBIAN_FRONTEND": "noninteractive", "RUNLEVEL": "1"}
    install = ["apt-get", "-q", "-y", "-o", "DPkg::Lock::Timeout=120", "install", "--no-install-recommends", *packages]
    for command in (install, ["apt-get", "-q", "update"], install):
        done = subprocess.run(  # noqa: S603 - fixed words and package names from the tables above
            command, env=environment, stdin=subprocess.DEVNULL, stdout=sys.stderr, check=False
        )
        if command is install and done.returncode == 0:
            return True
    return False


def remedy(packages: Iterable[str], *, mac: str, windows: str, other: str) -> str:
    """The exact line that brings what is missing, for the system this runs on."""
    if sys.platform == "darwin":
        return mac
    if sys.platform == "win32":
        return windows
    if shutil.which("apt-get"):
        return apt_line(packages)
    return other


def missing_pdf_packages() -> list[str]:
    """Debian names of the libraries without which no PDF can be made; empty when all can be loaded."""
    return [package for soname, name, package in PDF_LIBRARIES if not _has_library(soname, name)]


def _has_library(soname: str, name: str) -> bool:
    if sys.platform == "win32":
        return _windows_has_library(name)
    if sys.platform == "darwin":
        return ctypes.util.find_library(name) is not None
    try:
        ctypes.CDLL(soname)
    except OSError:
        return False
    return True


def _windows_has_library(name: str) -> bool:
    folders = [r"C:\msys64\ucrt64\bin", *os.environ.get("WEASYPRINT_DLL_DIRECTORIES", "").split(";")]
    files = (f"lib{name}-0.dll", f"{name}-0.dll")
    return any((Path(folder) / file).is_file() for folder in filter(None, folders) for file in files)


def browser_remedy(environment_python: Path) -> str:
    hint = (
        "install Google Chrome, or name a browser of its kind in FARMOPS_CHROME, or run "
        f"{environment_python} -m playwright install chromium"
    )
    return remedy(["chromium"], mac=hint, windows=hint, other=hint)


def pdf_remedy(packages: list[str]) -> str:
    return remedy(
        packages,
        mac="brew install pango   (with Homebrew's Python, or DYLD_FALLBACK_LIBRARY_PATH=/opt/homebrew/lib)",
        windows="install MSYS2, then in its shell: pacman -S mingw-w64-ucrt-x86_64-pango",
        other="install your system's packages for Pango (with pangoft2) and HarfBuzz (with harfbuzz-subset)",
    )


def missing_sonames(program: Path) -> list[str]:
    """Shared libraries that `program` needs and this computer lacks, as `ldd` names them.

    A machine for developers has many by accident (through a compiler, say) that a fresh laptop has not; the program
    then ends with a word nobody understands.
    """
    ldd = shutil.which("ldd")
    if sys.platform != "linux" or ldd is None:
        return []
    listed = subprocess.run(  # noqa: S603 - ldd on a file of our own environment
        [ldd, str(program)], capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL
    )
    return sorted({line.split()[0] for line in listed.stdout.splitlines() if "not found" in line and "=>" in line})


def browser_driver(environment: Path) -> Path | None:
    """The program inside the environment that drives the browser."""
    patterns = ("lib/python3.*/site-packages/playwright/driver/node", "Lib/site-packages/playwright/driver/node.exe")
    return next((path for pattern in patterns for path in environment.glob(pattern)), None)


def find_browser() -> str | None:
    """A Chromium kind of browser: the one named by FARMOPS_CHROME, else the first that is installed."""
    if named := os.environ.get("FARMOPS_CHROME"):
        found = shutil.which(named)
        if found is None:
            raise SystemExit(f"FARMOPS_CHROME names {named!r}, which is no program here. Correct or unset it.")
        return found
    for command in BROWSER_COMMANDS:
        if found := shutil.which(command):
            return found
    return next((path for path in map(os.path.expandvars, BROWSER_PLACES) if os.path.isfile(path)), None) or (
        _downloaded_browser()
    )


def _downloaded_browser() -> str | None:
    """The browser that the driver's own installer may have put into its cache earlier."""
    caches = [
        os.environ.get("PLAYWRIGHT_BROWSERS_PATH", ""),
        os.path.expanduser("~/.cache/ms-playwright"),
        os.path.expanduser("~/Library/Caches/ms-playwright"),
        os.path.expandvars(r"%LOCALAPPDATA%\ms-playwright"),
    ]
    names = ("chrome-linux*/chrome", "chrome-mac*/*.app/Contents/MacOS/*", "chrome-win*/chrome.exe")
    for cache in filter(os.path.isdir, caches):
        for name in names:
            if found := sorted(Path(cache).glob(f"chromium-*/{name}")):
                return str(found[-1])
    return None


def find_postgres() -> Path | None:
    """The folder with PostgreSQL's `initdb` and `pg_ctl`, the newest one; None when there is none."""
    for places in POSTGRES_PLACES:
        folders = [folder for folder in Path("/").glob(places.lstrip("/")) if (folder / "initdb").exists()]
        if folders:
            return max(folders, key=lambda folder: [int(part) for part in _digits(str(folder))])
    if found := shutil.which("initdb"):
        return Path(found).resolve().parent
    return None


def _digits(text: str) -> list[str]:
    return "".join(letter if letter.isdigit() else " " for letter in text).split()
