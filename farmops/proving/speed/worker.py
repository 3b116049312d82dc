"""One farm in a process of its own: filled once, then asked for seconds and counts, a line of JSON each."""

import json
import time
import traceback
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO

from django.db import connection
from django.urls import reverse

from farmops.farm.days import farm_today
from farmops.harvest.models import Pick
from farmops.planning.from_tables import farm_rows
from farmops.planning.stored_answers import HISTORY
from farmops.proving.speed.asking import Browser
from farmops.proving.speed.bare import NotCaught, bare_view, is_the_same, values_of
from farmops.proving.speed.before import BEFORE
from farmops.proving.speed.farm_at_hand import DEMO, let_in, phone_cookies, set_up, write_older_rows
from farmops.proving.speed.first_visit import first_visit
from farmops.proving.speed.pages import BUTTONS, Page, find_pages, press
from farmops.proving.speed.posting import posts_that_are_taken, seconds_of_posts
from farmops.proving.speed.printing import NoEngine, seconds_of_paper, sheet_of
from farmops.proving.speed.reckoning import Instance, instance, seconds_of_demand, seconds_of_sizing, size_of
from farmops.proving.speed.years import RECORDS

Asked = Mapping[str, Any]  # JSON


class Worker:
    """What one process knows: its browsers and its pages."""

    def __init__(self) -> None:
        self.browsers: Mapping[str, Browser] = {}
        self.pages: Mapping[str, Page] = {}
        self._instances: dict[str, Instance] = {}

    def fill(self, asked: Asked) -> dict[str, Any]:
        """Make the farm, let its people in, and have worked out what is only shown when it is."""
        rows = set_up(asked["years"])
        self.browsers = let_in()
        for name in BUTTONS:
            press(name, self.browsers["office"])
        return {"rows": rows}

    def press(self, asked: Asked) -> dict[str, float]:
        """Seconds of this process to work something out anew."""
        return {"seconds": press(asked["button"], self.browsers["office"])}

    def history(self, _asked: Asked) -> dict[str, int]:
        """How many dated records a working-out reads."""
        rows = farm_rows(since=farm_today() - HISTORY)
        return {"records": sum(len(getattr(rows, name)) for name in ("market_days", "plantings", *RECORDS))}

    def find(self, _asked: Asked) -> dict[str, Any]:
        """The pages of the farm."""
        found = find_pages(self.browsers)
        self.pages = found.pages
        return {"pages": sorted(found.pages), "left_out": found.left_out}

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

    def post(self, asked: Asked) -> dict[str, list[float]]:
        """A pick, the same again, and its rows by hand."""
        return seconds_of_posts(self.browsers["phone"], asked["times"])

    def paper(self, asked: Asked) -> Mapping[str, object]:
        """A pick list of so many lines, and the PDF library alone."""
        try:
            return seconds_of_paper(self.browsers["phone"], sheet_of(asked["lines"]), asked["times"])
        except NoEngine:
            return {"left_out": "this computer makes no PDF"}

    def first_visit(self, _asked: Asked) -> dict[str, Any]:
        """What the first page on a phone brings with it."""
        visit = first_visit(self.browsers["phone"], reverse("due-now"))
        return {"bytes": visit.total, "files": len(visit.bytes_of), "elsewhere": visit.elsewhere}

    def phones(self, asked: Asked) -> dict[str, Any]:
        """So many phones, each let in, and picks that are taken; each begins with another one."""
        posts = [(one.address, one.typed) for one in posts_that_are_taken(self.browsers["phone"])]
        return {
            "phones": [
                {
                    "cookies": Browser(phone_cookies(f"Phone {number}")).cookie_line(),
                    "posts": [*posts[number % len(posts) :], *posts[: number % len(posts)]],
                }
                for number in range(asked["number"])
            ]
        }

    def older_sheets(self, asked: Asked) -> dict[str, Any]:
        """Write so many rows or more, of years before, into a folder; then leave the records to others."""
        connection.close()
        return {"rows": write_older_rows(Path(asked["folder"]), asked["rows"])}

    def kept(self, asked: Asked) -> dict[str, Any]:
        """How many of these picks stand in the records."""
        picks = Pick.objects.live().values_list("entry__once_key", flat=True)
        return {"kept": len(set(asked["keys"]) & set(picks))}

    def sizing(self, asked: Asked) -> dict[str, Any]:
        """Seconds of a plan, and of the solver alone."""
        ours, alone, is_proven = seconds_of_sizing(self._instance(asked["instance"]))
        return {"ours": ours, "alone": alone, "proven": is_proven}

    def sizes(self, asked: Asked) -> dict[str, Any]:
        """How large its matrix is, and may be."""
        known = self._instance(asked["instance"])
        return {"there": size_of(known), "most": known.most}

    def demand(self, asked: Asked) -> dict[str, Any]:
        """Seconds to learn from so many market days."""
        return {"seconds": seconds_of_demand(asked["items"], asked["days"])}

    def _instance(self, name: str) -> Instance:
        if name not in self._instances:
            self._instances[name] = instance(name, DEMO)
        return self._instances[name]

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
