"""The desk: sheets lie here in memory while somebody reads them. Nothing on it is stored."""

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar, cast

Result = TypeVar("Result")

SHEETS_AT_ONCE = 8  # a household's worth of open notebooks; the longest untouched makes room
RESULTS_PER_SHEET = 6  # what was read and worked out under the last few sets of answers


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet as it came: the bytes of a file, or pasted text, and what it is called."""

    key: str
    name: str
    content: bytes | str


def key_of(content: bytes | str) -> str:
    """The same sheet always has the same address, so a link still fits when it is dropped in again."""
    encoded = content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content
    return hashlib.sha256(encoded).hexdigest()[:20]


class Desk:
    """Holds the last few sheets and what was worked out from them; safe between threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._sheets: OrderedDict[str, Sheet] = OrderedDict()
        self._results: dict[str, OrderedDict[object, object]] = {}

    def put(self, content: bytes | str, name: str) -> Sheet:
        sheet = Sheet(key_of(content), name, content)
        with self._lock:
            self._sheets[sheet.key] = sheet
            self._sheets.move_to_end(sheet.key)
            while len(self._sheets) > SHEETS_AT_ONCE:
                gone, _sheet = self._sheets.popitem(last=False)
                self._results.pop(gone, None)
        return sheet

    def get(self, key: str) -> Sheet | None:
        with self._lock:
            sheet = self._sheets.get(key)
            if sheet is not None:
                self._sheets.move_to_end(key)
            return sheet

    def forget(self, key: str) -> None:
        with self._lock:
            self._sheets.pop(key, None)
            self._results.pop(key, None)

    def known(self, key: str, question: object) -> object | None:
        """What was worked out for `question` about sheet `key`, if it was."""
        with self._lock:
            return self._results.get(key, OrderedDict()).get(question)

    def once(self, key: str, question: object, answer: Callable[[], Result]) -> Result:
        """The result for `question` about sheet `key`, worked out the first time it is asked."""
        with self._lock:
            known = self._results.get(key, OrderedDict())
            if question in known:
                known.move_to_end(question)
                return cast(Result, known[question])
        result = answer()
        with self._lock:
            if key in self._sheets:
                known = self._results.setdefault(key, OrderedDict())
                known[question] = result
                while len(known) > RESULTS_PER_SHEET:
                    known.popitem(last=False)
        return result


desk = Desk()
