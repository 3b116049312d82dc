"""Times of day as people note them: 11:40, 11.40, 1140, 11:40 am, 1 pm, noon, several in one cell."""

import re
from dataclasses import dataclass
from functools import lru_cache

from farmops.exchange.notebook.cells import Exact
from farmops.exchange.notebook.numbers import _digits, plain_word

CLOCK = re.compile(
    r"(\d{1,2})\s*(?:[:.hu]|uhr)\s*(\d{2})(?::\d{2})?\s*(?:h|uhr)?\s*(a\.?\s?m?\.?|p\.?\s?m?\.?)?$", re.IGNORECASE
)
HOUR = re.compile(r"(\d{1,2})\s*(?:h|o'?clock|uhr)?\s*(a\.?\s?m?\.?|p\.?\s?m?\.?)?$", re.IGNORECASE)
RUN = re.compile(r"(\d{1,2})(\d{2})\s*(a\.?\s?m?\.?|p\.?\s?m?\.?)?$", re.IGNORECASE)
TENTH = re.compile(r"(\d{1,2})\.(\d)$")
STAMP = re.compile(r"\d{4}-\d{2}-\d{2}[T ](\d{1,2}:\d{2})(?::\d{2})?$")
BEFORE = re.compile(
    r"^(?:[~≈]\s*|(at|by|about|around|approx\.?|ca\.?|before|after|gone|gone by|out|sold out|sold out at|ran out"
    r"|um|gegen|vers|a las?|[aà])\s+)",
    re.I,
)
NAMED = {"noon": 720, "midday": 720, "12 noon": 720, "noonish": 720, "midnight": 0}
CLOSING = {"close", "closing", "at close", "closing time", "end", "the end", "at closing", "at the end"}
NO_TIME = {
    "yes",
    "y",
    "x",
    "true",
    "sold out",
    "soldout",
    "so",
    "s/o",
    "out",
    "gone",
    "all",
    "✓",
    "✔",
    "ran out",
    "early",
}
NOT_OUT = {"", "-", "--", "—", "–", "−", "no", "n", "none", "never", "n/a", "na", "false", "did not", "not", "0"}
UNSURE = {"?", "??", "unknown", "not sure"}
DAY = 24 * 60


@dataclass(frozen=True, slots=True)
class ReadTimes:
    """Minutes noted in one cell; `out` = it says that it ran out; `bad` = it could not be read."""

    minutes: tuple[int, ...] = ()
    out: bool = False
    bad: bool = False


@lru_cache(maxsize=8192, typed=True)
def read_times(text: str, opens: int | None = None, closes: int | None = None) -> ReadTimes:
    """One cell of sell-out times.

    Parameters
    ----------
    text : str
    opens, closes : int, optional
        [min after midnight]; "1:10" of a market from 8 to 2 is ten past one in the afternoon.
    """
    word = plain_word(text)
    if word in NOT_OUT or word in UNSURE:
        return ReadTimes()
    if word in NO_TIME:
        return ReadTimes((), True)
    minutes = []
    for part in split_times(text):
        minute = read_time(part, opens, closes)
        if minute is None:
            return ReadTimes((), False, True)
        minutes.append(minute)
    return ReadTimes(tuple(dict.fromkeys(minutes)), True) if minutes else ReadTimes((), False, True)


def split_times(text: str) -> list[str]:
    """The parts of a cell that notes several times."""
    if isinstance(text, Exact):
        return [text] if text else []
    parts = re.split(r"[;,/&+\n|]|\band\b|\bthen\b", text)
    return [part.strip() for part in parts if part.strip()]


@lru_cache(maxsize=8192, typed=True)
def read_time(text: str, opens: int | None = None, closes: int | None = None) -> int | None:
    """One time of day in minutes after midnight; None if it is none."""
    bare = _digits(" ".join(text.split())).strip().strip("()")
    while (shorter := BEFORE.sub("", bare)) != bare:
        bare = shorter
    word = plain_word(bare)
    if word in NAMED:
        return NAMED[word]
    if word in CLOSING:
        return closes
    if found := STAMP.match(bare):
        bare = found.group(1)
    if isinstance(text, Exact) and re.fullmatch(r"0?\.\d+", bare):
        return round(float(bare) * DAY) % DAY  # a sheet's time without its format: a share of the day
    bare = TENTH.sub(r"\1.\g<2>0", bare)  # 11.40 typed into a sheet comes back as the number 11.4
    for pattern in (CLOCK, RUN, HOUR):
        if found := pattern.match(bare):
            groups = found.groups()
            minute = int(groups[1]) if pattern is not HOUR else 0
            return _at(int(groups[0]), minute, groups[-1] or "", opens, closes)
    return None


def _at(hour: int, minute: int, half: str, opens: int | None, closes: int | None) -> int | None:
    if hour == 24 and minute == 0:
        return DAY
    if hour > 23 or minute > 59:
        return None
    half = half.casefold()[:1]
    if half and not 1 <= hour <= 12 and not (half == "p" and hour <= 23):
        return None
    if half and hour <= 12:
        return (hour % 12 + (12 if half == "p" else 0)) * 60 + minute
    at = hour * 60 + minute
    # Without am or pm, the half of the day in which, or next to which, the market is open is meant.
    if opens is not None and closes is not None and hour < 12 and not opens <= at <= closes:
        later = at + DAY // 2
        return later if _off(later, opens, closes) < _off(at, opens, closes) else at
    return at


def _off(at: int, opens: int, closes: int) -> int:
    """How far from the hours. [min]"""
    return max(opens - at, at - closes, 0)


def clock(minute: int) -> str:
    """11:40."""
    return f"{minute // 60:02d}:{minute % 60:02d}"
