"""The parent's side: a process with a farm of its own, asked a question at a time."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from types import TracebackType
from typing import Any, Self

from django.conf import settings


class WorkerFailed(Exception):
    """The process fell over, or says that what it was asked cannot be done."""


class Talk:
    """Talks with a worker; ends it when it is closed.

    Parameters
    ----------
    folder : Path
        Where its records lie; nothing of the farm's own is touched.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._process = subprocess.Popen(
            [sys.executable, "-m", "farmops.proving.speed"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            encoding="utf-8",
            cwd=settings.BASE_DIR,
            env=environment(folder),
        )

    def tell(self, do: str, **more: object) -> None:
        """Ask without waiting for the answer."""
        if self._process.stdin is None:
            raise WorkerFailed("it has no ear")
        try:
            self._process.stdin.write(json.dumps({"do": do, **more}) + "\n")
            self._process.stdin.flush()
        except OSError as error:
            raise WorkerFailed(f"it ended ({self._process.poll()}) before it was asked for {do}") from error

    def hear(self) -> Any:  # JSON
        """The answer to what was told."""
        line = self._process.stdout.readline() if self._process.stdout else ""
        if not line:
            raise WorkerFailed(f"it ended with code {self._process.wait()}; what it said stands above")
        answer = json.loads(line)
        if "failed" in answer:
            raise WorkerFailed(answer["failed"])
        return answer

    def ask(self, do: str, **more: object) -> Any:  # JSON
        self.tell(do, **more)
        return self.hear()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process.stdin:
            self._process.stdin.close()
        try:
            self._process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        if self._process.stdout:
            self._process.stdout.close()


def environment(folder: Path) -> dict[str, str]:
    """Of a process with records of its own: SQLite, since a file is held against a file."""
    own = {"FARMOPS_DATA": str(folder), "OMP_NUM_THREADS": "1", "PYTHONUTF8": "1"}
    others = {name: value for name, value in os.environ.items() if name not in {"DATABASE_URL", "FARMOPS_DEMO"}}
    return {**others, **own}


@contextmanager
def workers(*names: str) -> Iterator[list[Talk]]:
    """So many workers, each with a folder that vanishes with it."""
    with ExitStack() as stack:
        base = Path(stack.enter_context(TemporaryDirectory(prefix="farm-speed-")))
        talks = []
        for name in names:
            (base / name).mkdir()
            talks.append(stack.enter_context(Talk(base / name)))
        yield talks
