"""When each market opens and closes: as noted, else as usual at this market, else asked for each market."""

from collections import Counter

from django.utils.translation import gettext as _

from farmops.exchange.notebook.doubts import LEAVE_OUT
from farmops.exchange.notebook.halves import times_of_market
from farmops.exchange.notebook.lines import Line, Reading, ask_unreadable
from farmops.exchange.notebook.names import key_of
from farmops.exchange.notebook.times import DAY, clock, read_time

ENDS = ("opens", "closes")
DEFAULT_HOURS = {"opens": 480, "closes": 780}
USUAL_LENGTH = DEFAULT_HOURS["closes"] - DEFAULT_HOURS["opens"]
MOST_MARKETS = 12  # asked about one by one; the others together
HOUR = 60


def read_opening(reading: Reading) -> frozenset[str]:
    """Fill the opening hours of every line; the markets whose hours the sheet does not tell are returned."""
    for name in ENDS:
        _read_noted(reading, name)
    usual = {name: usual_hours(reading.lines, name) for name in ENDS}
    lacking = Counter(
        line.market
        for line in reading.lines
        if any(hour_of(line, name) is None and line.market not in usual[name] for name in ENDS)
    )
    singly = {market for market, _count in lacking.most_common(MOST_MARKETS)}
    for market in dict.fromkeys(line.market for line in reading.lines if line.market in singly):
        own = [line for line in reading.lines if line.market == market]
        _ask_hours(reading, usual, [market], own)
    others = sorted(set(lacking) - singly)
    if others:
        _ask_hours(reading, usual, others, [line for line in reading.lines if line.market in set(others)])
    for line in reading.lines:
        for name in ENDS:
            if hour_of(line, name) is None:
                set_hour(line, name, usual[name][line.market])
    return frozenset(lacking)


def _read_noted(reading: Reading, name: str) -> None:
    bad = []
    for line in reading.lines:
        text = line.texts.get(name, "")
        if text:
            minute = read_time(text)
            if minute is None:
                bad.append((line.number, text))
            set_hour(line, name, minute)
    if ask_unreadable(reading, name, reading.mapping.heading(name), bad) == LEAVE_OUT:
        numbers = {number for number, _text in bad}
        reading.drop(lambda line: line.number in numbers, "unreadable")


def _ask_hours(reading: Reading, usual: dict[str, dict[str, int]], markets: list[str], lines: list[Line]) -> None:
    """Ask for the ends that are not known of these markets, and note them as usual there."""
    times = _times(reading, usual, markets, lines)
    known = usual["opens"].get(markets[0])
    begin, end = proposed_hours(times, known)
    for name in ENDS:
        lack = [market for market in markets if market not in usual[name]]
        if not lack:
            continue
        if name == "closes" and usual["opens"].get(lack[0], 0) >= end:
            end = min(usual["opens"][lack[0]] + USUAL_LENGTH, DAY)
        minute = _ask_hour(reading, name, markets, begin if name == "opens" else end, times)
        usual[name] |= dict.fromkeys(lack, minute)


def _times(reading: Reading, usual: dict[str, dict[str, int]], markets: list[str], lines: list[Line]) -> list[int]:
    """Times noted at these markets, in order; of several at once no half of the day is asked for."""
    found: list[int] = []
    for market in markets:
        found += times_of_market(
            [line for line in lines if line.market == market],
            reading.questions if len(markets) == 1 else None,
            key=f"half.{key_of(market)}" if reading.mapping.has("market") else "half",
            market=market,
            opens=usual["opens"].get(market),
            closes=usual["closes"].get(market),
        )
    return sorted(found)


def _ask_hour(reading: Reading, name: str, markets: list[str], proposed: int, times: list[int]) -> int:
    one, key = len(markets) == 1, name
    if reading.mapping.has("market"):
        key = f"{name}.{key_of(markets[0])}" if one else f"{name}.others"
    what = markets[0] if one else _("the other markets")
    question = {
        "opens": _("The sheet does not say when %(market)s opens. When is it?"),
        "closes": _("The sheet does not say when %(market)s closes. When is it?"),
    }[name] % {"market": f"“{what}”" if one else what}
    if times:
        noted = _("(Noted as run out between %(first)s and %(last)s.)")
        question += " " + noted % {"first": clock(times[0]), "last": clock(times[-1])}
    said = reading.questions.ask(key, question, default=clock(proposed), fits=_is_hour)
    minute = read_time(said or "")
    return proposed if minute is None else minute


def _is_hour(text: str) -> bool:
    return read_time(text) is not None


def proposed_hours(times: list[int], opens: int | None = None) -> tuple[int, int]:
    """The hours to propose for a market: the usual ones, moved or widened to full hours so that all times lie inside.

    Parameters
    ----------
    times : list of int
        Noted at this market, in order. [min after midnight]
    opens : int, optional
        When it opens, where that is known. [min after midnight]
    """
    begin, end = DEFAULT_HOURS["opens"], DEFAULT_HOURS["closes"]
    if opens is not None and opens >= end:
        begin, end = opens, min(opens + USUAL_LENGTH, DAY)
    if not times:
        return begin, end
    first, last = hours_around(times)
    if times[0] > end:
        # All of it in the afternoon: a market of the usual length that ends with the last of them.
        return min(first, last - USUAL_LENGTH), last
    return min(begin, first), max(end, last)


def hours_around(times: list[int]) -> tuple[int, int]:
    """Full hours before the first and after the last of the times."""
    return min(times) // HOUR * HOUR, min(-(-max(times) // HOUR) * HOUR, DAY)


def hour_of(line: Line, name: str) -> int | None:
    return line.opens if name == "opens" else line.closes


def set_hour(line: Line, name: str, minute: int | None) -> None:
    if name == "opens":
        line.opens = minute
    else:
        line.closes = minute


def usual_hours(lines: list[Line], name: str) -> dict[str, int]:
    """The commonest hour of each market, of equals the later."""
    found: dict[str, Counter[int]] = {}
    for line in lines:
        minute = hour_of(line, name)
        if minute is not None:
            found.setdefault(line.market, Counter())[minute] += 1
    return {market: max(counts, key=lambda at: (counts[at], at)) for market, counts in found.items()}
