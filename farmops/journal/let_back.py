"""What a room looks at when its rows are taken back: it says so on the model, the journal asks it in time.

A model names in `let_back` a module of its own room with two functions: `lock(entry)` before anything is turned round,
and `check(entry, because_of, because)` once all is written that the undo or the correction writes.
"""

from collections.abc import Iterator
from importlib import import_module
from typing import Protocol, cast

from farmops.journal.models import Entry


class LetBack(Protocol):
    def lock(self, entry: Entry) -> None:
        """Lock what taking an entry back concerns, so that nobody builds upon it meanwhile."""

    def check(self, entry: Entry, because_of: Entry, because: str) -> None:
        """Refuse what must not be as it is afterwards; `because` is the person's word for letting it be."""


def lock(entry: Entry) -> None:
    """Before an entry is taken back."""
    for room in _asked(entry):
        room.lock(entry)


def check(entry: Entry, because_of: Entry, because: str) -> None:
    """After it was, and what comes in its place is written.

    Raises
    ------
    Refused
        If a room says no.
    """
    for room in _asked(entry):
        room.check(entry, because_of, because)


def _asked(entry: Entry) -> Iterator[LetBack]:
    for relation in Entry._meta.related_objects:
        model = relation.related_model
        if isinstance(model, str) or relation.field.name != "entry":
            continue
        path = getattr(model, "let_back", "")
        if path and model._default_manager.filter(entry=entry).exists():
            yield cast(LetBack, import_module(path))
