"""One farm in a process of its own: filled once, then asked for seconds and counts, a line of JSON each."""

import json
import time
import traceback
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TextIO

from django.db import connection

from farmops.proving.speed.asking import Browser
from farmops.proving.speed.bare import NotCaught, bare_view, is_the_same, values_of
from farmops.proving.speed.before import BEFORE
from farmops.proving.speed.farm_at_hand import let_in, set_up
from farmops.proving.speed.pages import Page, find_pages

Asked = Mapping[str, Any]  # JSON


class Worker:
    """What one process knows: its browsers and its pages."""

    def __init__(self) -> None:
        self.browsers: Mapping[str, Browser] = {}
        self.pages: Mapping[str, Page] = {}

    def fill(self, asked: Asked) -> dict[str, Any]:
        """Make the farm and find its pages."""
        rows = set_up(asked["years"])
        self.browsers = let_in()
        found = find_pages(self.browsers)
        self.pages = found.pages
        return {"rows": rows, "pages": sorted(found.pages), "left_out": found.left_out}

    def page(self, asked: Asked) -> dict[str, Any]:
        """Seconds of this process for a page, so many times."""
        page, before = self.pages[asked["page"]], BEFORE[asked["before"]]
        return {"seconds": [self._seconds(page, before) for _time in range(asked["times"])]}

    def bare(self, asked: Asked) -> dict[str, Any]:
        """The page and its bare likeness in turn."""
        page = self.pages[asked["page"]]
        browser = self.browsers[page.browser]
        try:
            caught = values_of(page, browser)
        except NotCaught as reason:
            return {"left_out": str(reason)}
        real = browser.get(page.address)
        with bare_view(page, caught):
            bare = browser.get(page.address)
        if not is_the_same(real, bare):
            return {"left_out": f"its values cannot be shown twice ({len(real.body)} and {len(bare.body)} bytes)"}
        above, below = [], []
        for _time in range(asked["times"]):
            above.append(self._seconds(page))
            with bare_view(page, caught):
                below.append(self._seconds(page))
        return {"seconds": above, "bare": below}

    def queries(self, asked: Asked) -> dict[str, Any]:
        """How often a page asks the database, and the middleware with it."""
        page = self.pages[asked["page"]]
        self.browsers[page.browser].get(page.address)
        BEFORE[asked["before"]]()
        with counting() as said:
            self.browsers[page.browser].get(page.address)
        return {"queries": len(said)}

    def _seconds(self, page: Page, before: Callable[[], None] = BEFORE[""]) -> float:
        before()
        browser = self.browsers[page.browser]
        started = time.process_time()
        browser.get(page.address)
        return time.process_time() - started


@contextmanager
def counting() -> Iterator[list[str]]:
    """The statements of a while."""
    said: list[str] = []

    def note(execute: Callable[..., Any], sql: str, *rest: Any) -> Any:  # Any: Django's own arguments
        said.append(sql)
        return execute(sql, *rest)

    with connection.execute_wrapper(note):
        yield said


def answer_all(questions: TextIO, answers: TextIO) -> None:
    """Until there are no more questions. A fault of one is its answer, with its kind."""
    worker = Worker()
    for line in questions:
        asked = json.loads(line)
        try:
            answer = getattr(worker, asked["do"])(asked)
        except Exception as fault:
            traceback.print_exc()
            answer = {"failed": f"{type(fault).__name__}: {fault}"}
        answers.write(json.dumps(answer, allow_nan=False) + "\n")
        answers.flush()
