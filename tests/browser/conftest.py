"""A real browser at the sizes people hold: a phone and a laptop. Anything a page complains of fails its test."""

import os
import re
from collections.abc import Callable, Generator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import ConsoleMessage, Page

from farmops import machine, setting_up

# The browser's driver runs a loop in the thread of the test, in which Django would otherwise refuse its tables.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

PICTURES = Path(__file__).resolve().parent.parent.parent / "static" / "pictures"
PHONE = {"width": 360, "height": 740}
LAPTOP = {"width": 1280, "height": 800}
QUIET_BROWSER = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    browser = machine.find_browser()
    if browser is None:
        remedy = machine.browser_remedy(setting_up.environment_python())
        pytest.fail(f"no browser to test with: {remedy}", pytrace=False)
    return {**browser_type_launch_args, "executable_path": browser, "args": QUIET_BROWSER}


@pytest.fixture(scope="session")
def base_url() -> None:
    """Each page is given the live server's address below; the plugin's own fixture is of a kind pytest is dropping."""


@pytest.fixture
def open_page(live_server: Any, new_context: Any) -> Generator[Callable[..., Page]]:
    """Open a page at the live server's first screen's address; complaints of any of them fail the test at its end.

    `live_server` stands first, so that pages are closed before the database is emptied.
    """
    pages: list[Page] = []
    complaints: list[str] = []

    def open_(**context: Any) -> Page:
        page: Page = new_context(base_url=live_server.url, **context).new_page()
        page.on("pageerror", lambda error: complaints.append(f"script error: {error}"))
        page.on("console", lambda message: complaints.extend(_complaint(message)))
        page.on("request", lambda request: complaints.extend(_foreign(request.url, live_server.url)))
        pages.append(page)
        return page

    yield open_
    for page in pages:
        page.goto("about:blank")  # ends requests that would meet an emptied database
    assert complaints == []


def _complaint(message: ConsoleMessage) -> list[str]:
    # 422 is how a form that needs correcting is answered, 403 how one whose sender is not known; the browser notes
    # them as if they were faults.
    if message.type != "error" or re.search(r"status of (422|403)\b", message.text):
        return []
    return [f"console: {message.text}"]


def _foreign(url: str, own: str) -> list[str]:
    return [] if url.startswith((own, "data:", "blob:", "about:")) else [f"asks elsewhere: {url}"]


@pytest.fixture
def phone(open_page: Callable[..., Page]) -> Page:
    """A page 360 × 740, touched, on a screen of two dots a pixel."""
    return open_page(viewport=PHONE, screen=PHONE, is_mobile=True, has_touch=True, device_scale_factor=2)


@pytest.fixture
def laptop(open_page: Callable[..., Page]) -> Page:
    """A page 1280 × 800 with a mouse."""
    return open_page(viewport=LAPTOP)


@pytest.fixture
def picture() -> Callable[..., None]:
    """`picture(page, name)` keeps a picture for the README, only when FARMOPS_PICTURES=1."""

    def take(page: Page, name: str, *, full_page: bool = True) -> None:
        if os.environ.get("FARMOPS_PICTURES") == "1":
            PICTURES.mkdir(parents=True, exist_ok=True)
            page.screenshot(path=PICTURES / f"{name}.png", full_page=full_page, animations="disabled")

    return take
