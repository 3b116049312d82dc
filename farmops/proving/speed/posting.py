"""A pick sent from a phone: what its rows cost on disk beside the same rows written by hand."""

import re
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection
from django.db.backends.sqlite3.base import FORMAT_QMARK_REGEX
from django.urls import reverse

from farmops.farm.days import farm_today
from farmops.farm.forms import new_key
from farmops.growing.models import Planting
from farmops.growing.natural_order import natural_key
from farmops.harvest.models import Pick
from farmops.proving.speed.asking import Browser

DONE, ENOUGH = 303, 16
INSERTED = re.compile(r'INSERT INTO "(?P<table>\w+)" \((?P<columns>[^)]*)\)')
WRITES = ("INSERT", "UPDATE", "DELETE")
Typed = dict[str, str]


@dataclass(frozen=True, slots=True)
class Post:
    """A form that is taken: where it goes, and what is typed but its key."""

    address: str
    typed: Typed

    def send(self, browser: Browser, key: str) -> int:
        return browser.post(self.address, {**self.typed, "once": key}).status


def posts_that_are_taken(browser: Browser) -> list[Post]:
    """Small picks of plantings that were cut before and stand yet: nothing is asked about them."""
    today = farm_today()
    cut = Pick.objects.live().filter(planting__cleared_on=None, planting__state=Planting.State.DONE)
    found = []
    for code in sorted(set(cut.values_list("planting__code", flat=True)), key=natural_key):
        for typed in ({"count": "1", "count_unit": "head"}, {"weight": "0.5", "weight_unit": "lb"}):
            post = Post(reverse("pick-crop", args=[code]), {**typed, "day": today.isoformat()})
            if post.send(browser, new_key()) == DONE:
                found.append(post)
                break
        if len(found) == ENOUGH:
            break
    return found


@dataclass(frozen=True, slots=True)
class Statement:
    """As it went to the database; `columns` of an insert, else none."""

    sql: str
    values: Sequence[Any]  # as the driver takes them
    columns: Sequence[str]


@contextmanager
def caught_writes() -> Iterator[list[Statement]]:
    """The statements that write, while it lasts."""
    found: list[Statement] = []

    def note(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:  # Django's own
        if sql.startswith(WRITES):
            head = INSERTED.match(sql)
            columns = re.findall(r'"(\w+)"', head["columns"]) if head else []
            by_mark = FORMAT_QMARK_REGEX.sub("?", sql).replace("%%", "%")
            found.append(Statement(by_mark, list(params or ()), columns))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        yield found


class ByHand:
    """The same rows into a copy of the records, with nothing but the driver."""

    def __init__(self, statements: Sequence[Statement], key: str, copy: Path) -> None:
        self._statements = statements
        self._key = key
        self._connection = sqlite3.connect(copy, isolation_level=None)
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "cache_size=-16000"):
            self._connection.execute(f"PRAGMA {pragma}")

    def write(self, key: str) -> None:
        """All of it in one transaction, for an entry of a new key."""
        entry: int | None = None
        run = self._connection.execute
        run("BEGIN IMMEDIATE")
        for one in self._statements:
            with closing(run(one.sql, self._values(one, key, entry))) as cursor:
                cursor.fetchall()
                if '"journal_entry"' in one.sql and one.columns:
                    entry = cursor.lastrowid
        run("COMMIT")

    def close(self) -> None:
        self._connection.close()

    def _values(self, one: Statement, key: str, entry: int | None) -> list[Any]:
        width = len(one.columns)
        return [
            key if value == self._key else entry if width and one.columns[at % width] == "entry_id" else value
            for at, value in enumerate(one.values)
        ]


def copy_of_records() -> Path:
    """A copy of the file as it is now, through the driver: closing the file by other hands would drop its locks."""
    copy = Path(settings.DATA_DIR) / "copy.sqlite3"
    with closing(sqlite3.connect(copy)) as target, connection.cursor():
        connection.connection.backup(target)
    return copy


def seconds_of_posts(browser: Browser, times: int) -> dict[str, list[float]]:
    """A pick, the same again with its key, and its rows by hand: in turn, by the clock on the wall.

    Raises
    ------
    ArithmeticError
        If no pick is taken, or one that was is not again.
    """
    post = next(iter(posts_that_are_taken(browser)), None)
    if post is None:
        raise ArithmeticError("no planting of this farm takes a pick without a question")
    key = new_key()
    with caught_writes() as statements:
        _taken(post, browser, key)
    by_hand = ByHand(statements, key, copy_of_records())
    found: dict[str, list[float]] = {"new": [], "again": [], "by_hand": []}
    with closing(by_hand):
        by_hand.write(new_key())
        for _time in range(times):
            key = new_key()
            found["new"].append(_seconds(lambda key=key: _taken(post, browser, key)))  # type: ignore[misc]  # bound
            _taken(post, browser, key)  # what is remembered between entries is remembered again, as it was before
            found["again"].append(_seconds(lambda key=key: _taken(post, browser, key)))  # type: ignore[misc]  # bound
            found["by_hand"].append(_seconds(lambda: by_hand.write(new_key())))
    return found


def _taken(post: Post, browser: Browser, key: str) -> None:
    status = post.send(browser, key)
    if status != DONE:
        raise ArithmeticError(f"a pick was answered with {status}")


def _seconds(deed: Callable[[], None]) -> float:
    started = time.perf_counter()
    deed()
    return time.perf_counter() - started
