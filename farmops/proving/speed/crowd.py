"""Sixteen phones that send picks to a real server at once, while ten thousand rows are read in from sheets."""

import http.client
import re
import secrets
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode, urlparse

from django.conf import settings

from farmops.proving.speed.asking import TOKEN
from farmops.proving.speed.talking import WorkerFailed, environment

PAUSE = 1.0  # [s] between two picks of a phone; nobody cuts and types faster
DONE = 303
PATIENCE = 60  # [s] as long as a browser waits, and then some


@dataclass(frozen=True, slots=True)
class Phone:
    """Its cookies, and the picks it sends in turn: where to, what is typed."""

    cookies: str
    posts: Sequence[tuple[str, Mapping[str, str]]]


@dataclass(slots=True)
class Sent:
    """What came of all posts: seconds of each that was taken, by its key; and what was answered to the others."""

    seconds: dict[str, float] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)

    @property
    def number(self) -> int:
        return len(self.seconds) + len(self.refused)


@contextmanager
def server(folder: Path) -> Iterator[str]:
    """`start` on the records of a folder; its address. Ended when done.

    Raises
    ------
    WorkerFailed
        If it does not say where it is.
    """
    process = subprocess.Popen(  # noqa: S603 - our own command
        [sys.executable, str(settings.BASE_DIR / "manage.py"), "start", "--port", "0"],
        stdout=subprocess.PIPE,
        encoding="utf-8",
        env=environment(folder),
    )
    try:
        line = process.stdout.readline() if process.stdout else ""
        address = re.search(r"http://[^\s/]+", line)
        if address is None:
            raise WorkerFailed(f"the server did not start: {line!r}")
        yield address[0]
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(timeout=30)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if process.stdout:
            process.stdout.close()


def all_at_once(address: str, phones: Sequence[Phone], is_over: Callable[[], bool], *, least: int) -> Sent:
    """Each phone sends its picks one after the other until it is over, and so many at the least."""
    sent, lock = Sent(), threading.Lock()
    begin = threading.Barrier(len(phones))

    def carry(phone: Phone) -> None:
        begin.wait()
        number = 0
        while number < least or not is_over():
            where, typed = phone.posts[number % len(phone.posts)]
            key = secrets.token_urlsafe(18)
            started = time.perf_counter()
            said = answer_to(address, phone, where, {**typed, "once": key})
            seconds = time.perf_counter() - started
            with lock:
                if said == str(DONE):
                    sent.seconds[key] = seconds
                else:
                    sent.refused.append(said)
            number += 1
            time.sleep(PAUSE)

    threads = [threading.Thread(target=carry, args=(phone,)) for phone in phones]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sent


def answer_to(address: str, phone: Phone, where: str, typed: Mapping[str, str]) -> str:
    """The status of the answer, or what went wrong on the way."""
    connection = http.client.HTTPConnection(urlparse(address).netloc, timeout=PATIENCE)
    headers = {"Cookie": phone.cookies, "Content-Type": "application/x-www-form-urlencoded"}
    try:
        connection.request("POST", where, urlencode({**typed, "csrfmiddlewaretoken": TOKEN}), headers)
        response = connection.getresponse()
        response.read()
    except (OSError, http.client.HTTPException) as error:
        return type(error).__name__
    else:
        return str(response.status)
    finally:
        connection.close()


class Reading:
    """`read_sheets` of a folder, in a process of its own."""

    def __init__(self, records: Path, sheets: Path) -> None:
        self._process = subprocess.Popen(  # noqa: S603 - our own command
            [sys.executable, str(settings.BASE_DIR / "manage.py"), "read_sheets", str(sheets)],
            stdout=subprocess.PIPE,
            encoding="utf-8",
            env=environment(records),
        )

    @property
    def is_over(self) -> bool:
        return self._process.poll() is not None

    def rows_added(self) -> int:
        """Rows that it says it added.

        Raises
        ------
        WorkerFailed
            If it added none.
        """
        said = self._process.communicate()[0]
        sums = re.findall(r"^([\d,]+) added", said, re.MULTILINE)
        if self._process.returncode or not sums:
            raise WorkerFailed(f"read_sheets ended with {self._process.returncode}: {said}")
        return int(sums[-1].replace(",", ""))
