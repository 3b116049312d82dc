"""Which half of the day the times noted at a market without hours are meant for: one way for all of them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from farmops.exchange.notebook.doubts import Choice, Questions
from farmops.exchange.notebook.lines import Line
from farmops.exchange.notebook.times import DAY, clock, read_time, split_times

HALF = DAY // 2
SPAN = 7 * 60  # no market lasts longer from the first thing that runs out to the last
FIRST_MORNING = 7 * 60  # hardly a market sells out earlier in the day
PLAUSIBLE = (5 * 60, 22 * 60)  # times outside are slips, and do not move the hours that are proposed
EARLY, LATE = "early", "late"
IN_NAME = ((re.compile(r"\b(evening|afternoon|night|abend|soir|noche)", re.IGNORECASE), LATE), (
    re.compile(r"\bmorning", re.IGNORECASE), EARLY))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Noted:
    """One noted time. [min after midnight] `is_open` = without am or pm it may be meant for the other half too."""

    minute: int
    is_open: bool

    @property
    def ways(self) -> tuple[int, ...]:
        """What it may mean, as far as that can be at a market."""
        ways = (self.minute, self.minute + HALF) if self.is_open else (self.minute,)
        return tuple(way for way in ways if PLAUSIBLE[0] <= way <= PLAUSIBLE[1])


def noted_at(lines: Sequence[Line]) -> list[Noted]:
    """Times at which something ran out or was filled again, as far as they can be at a market."""
    found = []
    for line in lines:
        for name in ("sold_out_at", "restocked_at"):
            for part in split_times(line.texts.get(name, "")):
                minute = read_time(part)
                if minute is not None:
                    moves = read_time(part, DAY - 1, DAY) != minute
                    found.append(Noted(minute, moves and minute >= 60))
    return [noted for noted in found if noted.ways]


def readings(noted: Sequence[Noted]) -> list[tuple[int, ...]]:
    """Every way to read all of the times within one span of at most seven hours, the earliest first."""
    found: dict[tuple[int, ...], None] = {}
    for start in sorted({way for each in noted for way in each.ways}):
        read = [next((way for way in each.ways if way >= start), None) for each in noted]
        minutes = sorted(minute for minute in read if minute is not None)
        if len(minutes) == len(noted) and minutes[-1] - minutes[0] <= SPAN:
            found.setdefault(tuple(minutes))
    return list(found)


def times_of_market(
    lines: Sequence[Line],
    questions: Questions | None,
    *,
    key: str,
    market: str,
    opens: int | None = None,
    closes: int | None = None,
) -> list[int]:
    """The times noted at one market, in order; asked where both halves of the day would do.

    Parameters
    ----------
    lines : sequence of Line
        Of this market.
    questions : Questions or None
        None takes the likelier half unasked.
    key, market : str
        The question's key, and the market's name.
    opens, closes : int, optional
        What is known of its hours. [min after midnight]
    """
    noted = noted_at(lines)
    ways = readings(noted)
    fitting = [way for way in ways if (opens or 0) <= way[0] and way[-1] <= (closes or DAY)]
    ways = fitting or ways
    if not ways:
        return sorted(_likely(each) for each in noted)
    early, late = ways[0], ways[-1]
    if early == late:
        return list(early)
    said: str | None = _likelier(early, market)
    if questions is not None:
        said = questions.ask(
            key,
            _("The times noted at “%(market)s” do not say morning or evening. Which are they?") % {"market": market},
            tuple(Choice(half, _between(way)) for half, way in ((EARLY, early), (LATE, late))),
            rows=tuple(line.number for line in lines if noted_at([line])),
            default=said,
        )
    return list(early if said == EARLY else late)


def _between(way: tuple[int, ...]) -> str:
    if way[0] == way[-1]:
        return clock(way[0])
    return _("Between %(first)s and %(last)s") % {"first": clock(way[0]), "last": clock(way[-1])}


def _likelier(early: tuple[int, ...], market: str) -> str:
    for words, half in IN_NAME:
        if words.search(market):
            return half
    return LATE if early[0] < FIRST_MORNING else EARLY


def _likely(noted: Noted) -> int:
    return noted.ways[-1] if noted.minute < FIRST_MORNING else noted.ways[0]
