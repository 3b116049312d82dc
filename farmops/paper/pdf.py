"""Turns a print-ready page into PDF where the system's libraries are there; says what is missing where not."""

import contextlib
import functools
import io
import mimetypes
import sys
from pathlib import Path
from types import ModuleType
from urllib.parse import unquote, urlparse

from django.conf import settings
from django.contrib.staticfiles import finders

from farmops.paper.legible import legible

HOW_TO_INSTALL = {
    "linux": "sudo apt install libpangoft2-1.0-0 libharfbuzz-subset0",
    "darwin": "brew install pango",
    "win32": "pacman -S mingw-w64-ucrt-x86_64-pango  (in MSYS2)",
}


@functools.cache
def pdf_engine() -> ModuleType | None:
    """The PDF library, or None where its system libraries are missing (it prints to stdout then, so be quiet)."""
    try:
        with contextlib.redirect_stdout(io.StringIO()):
            import weasyprint
    except OSError:
        return None
    return weasyprint  # type: ignore[no-any-return]  # the library ships no types


def how_to_install() -> str:
    """The exact line that brings the missing system libraries on this kind of computer."""
    return HOW_TO_INSTALL.get(sys.platform, HOW_TO_INSTALL["linux"])


def _static_file(url: str) -> Path:
    """The product's own static file behind `url`; ValueError for anything else."""
    path = unquote(urlparse(url).path)
    prefix = "/" + settings.STATIC_URL.strip("/") + "/"
    name = path.removeprefix(prefix)
    if path.startswith(prefix) and ".." not in name:
        found = finders.find(name)
        if found is not None:
            return Path(str(found))
        collected = Path(settings.STATIC_ROOT) / name  # names with a hash stand only here
        if collected.is_file():
            return collected
    raise ValueError(f"papers use only the product's own files, got {url!r}")


def _fetcher(engine: ModuleType) -> object:
    """Fetches nothing but static files: no network, no other file of this computer."""

    class StaticFilesOnly(engine.urls.URLFetcher):  # type: ignore[name-defined, misc]  # the library ships no types
        def fetch(self, url: str, headers: object = None) -> object:
            path = _static_file(url)
            kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
            return engine.urls.URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})

    return StaticFilesOnly(fail_on_errors=True)


def to_pdf(html: str) -> bytes:
    """The page as PDF. Raises RuntimeError where the engine is missing: ask `pdf_engine` first."""
    engine = pdf_engine()
    if engine is None:
        raise RuntimeError(f"PDF needs system libraries: {how_to_install()}")
    document = engine.HTML(string=legible(html)[0], base_url="http://papers.invalid/", url_fetcher=_fetcher(engine))
    return bytes(document.write_pdf())
