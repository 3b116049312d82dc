"""What is wrong with single lines of a long list is told at these lines, all of it at once."""

from collections.abc import Callable, Iterable, Mapping
from typing import TypeVar

from django.utils.translation import gettext as _

from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.models import MarketLine

NAMED = 2  # lines named in the sum of it; more are counted, each tells its own
AT_LINES = "lines"
Read = TypeVar("Read")


class Troubles(dict[int, str]):
    """What is wrong, by the line's key, in words; it is filled while a deed is tried."""

    def noting(self, deed: Callable[[], Read]) -> Callable[[], Read]:
        """The deed; what its refusal says of single lines is noted here."""

        def tried() -> Read:
            try:
                return deed()
            except Refused as refused:
                found = refused.offer.get(AT_LINES)
                self.update(found if isinstance(found, Mapping) else {})
                raise

        return tried


def each_line(lines: Iterable[MarketLine], read: Callable[[MarketLine], Read]) -> dict[int, Read]:
    """Read each line, by its key. All that cannot be read are told together; else the first that is asked about.

    Raises
    ------
    Refused, NeedsYes
        As `read`, its item named, with `offer["lines"]`.
    """
    found: dict[int, Read] = {}
    wrong: dict[MarketLine, Refused] = {}
    asked: list[tuple[MarketLine, NeedsYes]] = []
    for line in lines:
        try:
            found[line.pk] = read(line)
        except NeedsYes as needs:
            asked.append((line, needs))
        except Refused as refused:
            wrong[line] = refused
    if wrong:
        raise Refused(_said({line: str(refused) for line, refused in wrong.items()}), offer=_offer(wrong))
    if asked:
        line, first = asked[0]
        words = f"{line.item.name}: {first}"
        raise NeedsYes(words, question=first.question, field=first.field, offer=_offer({line: first})) from first
    return found


def few_of(said: Mapping[str, str]) -> str:
    """By item: a few with what is said of each; of many only how many."""
    if len(said) <= NAMED:
        return ", ".join(f"{item} {words}" for item, words in said.items())
    return _("%(n)d items, each told at its line") % {"n": len(said)}


def _said(wrong: Mapping[MarketLine, str]) -> str:
    if len(wrong) <= NAMED:
        return " ".join(f"{line.item.name}: {words}" for line, words in wrong.items())
    return _("%(n)d items could not be read: each tells why at its line.") % {"n": len(wrong)}


def _offer(wrong: Mapping[MarketLine, Refused]) -> dict[str, object]:
    return {AT_LINES: {line.pk: str(refused) for line, refused in wrong.items()}}
