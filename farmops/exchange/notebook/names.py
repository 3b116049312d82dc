"""Names that differ only in case, spaces, marks of Unicode or apostrophes are one; near-alikes are only suggested."""

import difflib
import re
import unicodedata
from collections import Counter
from dataclasses import dataclass, field
from functools import lru_cache

from django.utils.translation import gettext as _

from farmops.exchange.notebook.doubts import Choice, Questions

ONE, TWO = "one", "two"
MOST_NAMES = 150  # beyond that, comparing every pair is slow and the suggestions are noise
MOST_SUGGESTIONS = 12
ALIKE = 0.86


@lru_cache(maxsize=8192)
def key_of(name: str) -> str:
    """What two spellings of one name share."""
    folded = unicodedata.normalize("NFKC", name).casefold()
    folded = unicodedata.normalize("NFC", re.sub(r"[‘’ʼ`´]", "'", folded))
    return " ".join(folded.replace("\u200b", "").split())


@lru_cache(maxsize=8192)
def spelling(name: str) -> str:
    """The name as it is kept: one form of Unicode, single spaces."""
    return " ".join(unicodedata.normalize("NFC", name).split())


@dataclass(slots=True)
class Names:
    """The names of one column. The first spelling is kept."""

    kept: dict[str, str] = field(default_factory=dict)
    counts: Counter[str] = field(default_factory=Counter)
    joined: dict[str, str] = field(default_factory=dict)

    def add(self, name: str) -> str:
        key = key_of(name)
        self.counts[key] += 1
        return self.kept.setdefault(key, spelling(name))

    def name(self, name: str) -> str:
        """The kept spelling, after joins the person agreed to."""
        key = key_of(name)
        return self.kept[self.joined.get(key, key)]

    def suggest(self, what: str, heading: str, questions: Questions) -> None:
        """Ask about near-alikes; nothing is joined without a yes."""
        for first, second in self._near():
            said = questions.ask(
                f"same.{what}.{first}={second}",
                _("Are “%(first)s” and “%(second)s” in “%(column)s” the same?")
                % {"first": self.kept[first], "second": self.kept[second], "column": heading},
                (Choice(TWO, _("No, they are two")), Choice(ONE, _("Yes, they are one"))),
                column=heading,
                default=TWO,
            )
            if said == ONE:
                target = self.joined.get(first, first)
                for key, into in list(self.joined.items()):
                    if into == second:
                        self.joined[key] = target
                self.joined[second] = target

    def _near(self) -> list[tuple[str, str]]:
        keys = list(self.kept)
        if len(keys) > MOST_NAMES:
            return []
        pairs = [
            (first, second) for at, first in enumerate(keys) for second in keys[at + 1 :] if _near_alike(first, second)
        ]
        return pairs[:MOST_SUGGESTIONS]


def _plain(key: str) -> str:
    letters = unicodedata.normalize("NFKD", key)
    return re.sub(r"[^a-z0-9]+", "", "".join(sign for sign in letters if not unicodedata.combining(sign)))


def _near_alike(first: str, second: str) -> bool:
    one, two = _plain(first), _plain(second)
    if not one or not two or re.sub(r"\D", "", one) != re.sub(r"\D", "", two):
        return False
    if one in (two, f"{two}s", f"{two}es") or two in (f"{one}s", f"{one}es"):
        return True
    if min(len(one), len(two)) < 5 or abs(len(one) - len(two)) > 2:
        return False
    compare = difflib.SequenceMatcher(None, one, two)
    return compare.quick_ratio() >= ALIKE and compare.ratio() >= ALIKE
