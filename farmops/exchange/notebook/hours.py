"""Opening hours, sell-out times, weather and whether the market took place."""

import re
from functools import lru_cache

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.notebook.doubts import LEAVE_OUT, Choice, rows_in_words
from farmops.exchange.notebook.lines import UNKNOWN, Line, Reading, ask_unreadable
from farmops.exchange.notebook.names import key_of
from farmops.exchange.notebook.opening import DEFAULT_HOURS, hours_around, read_opening, usual_hours
from farmops.exchange.notebook.times import DAY, clock, read_time, read_times

RAIN = re.compile(
    r"rain|wet|shower|drizzl|storm|thunder|downpour|snow|sleet|hail|pour|soak|sprinkl|regen|regn|pluie|pluvieux|lluvi",
    re.IGNORECASE,
)
DRY = re.compile(
    r"\b(dry|sun|sunny|clear|fine|fair|cloud|cloudy|clouds|overcast|warm|hot|cold|cool|wind|windy|breezy|nice|good|bright"
    r"|mild|humid|beautiful|perfect|fog|foggy|grey|gray|lovely|muggy|chilly|freezing|no|0"
    r"|sonnig|trocken|heiter|bewölkt|soleil|ensoleillé|sec|nuageux|sol|soleado|seco|nublado)\b",
    re.IGNORECASE,
)
CALLED_OFF = re.compile(
    r"called\s*off|cancel|no market|not held|closed|rained out|snowed out|did not go|didn.t go|skipped|no show|off$|"
    r"did not take place|missed|^no$|^false$|^n$",
    re.IGNORECASE,
)
HELD = re.compile(
    r"^$|took\s*place|^held|^yes|^y$|^ok|^open|^done|normal|regular|went|^on$|happened|usual|^x$|✓|^true$|^-$|^—$"
    r"|early|market held",
    re.IGNORECASE,
)
PLANNED = re.compile(r"(?<!as )\bplann?(ed|ing)?\b|to come\b|upcoming|scheduled|not (yet|held yet)", re.IGNORECASE)
COMING = re.compile(r"\b(next|coming|future|expected)\b", re.IGNORECASE)  # unless the words say that it was held
EARLY = re.compile(r"(early|left|closed|packed up|home).*?(\d{1,2}[:.]?\d{0,2}\s*(?:am|pm)?)", re.IGNORECASE)
LONGER = "hours"
WENT_HOME = 30  # minutes before the usual closing that a rainy day must end to count as going home early


def read_hours(reading: Reading) -> None:
    """Fill status, weather, hours and times of every line; ask what cannot be known."""
    _read_status(reading)
    _read_weather(reading)
    reading.drop(lambda line: line.is_called_off, "called off")
    reading.drop(lambda line: line.is_planned, "planned")
    asked = read_opening(reading)
    _after_opening(reading)
    _went_home_early(reading)
    _read_times(reading, "sold_out_at")
    _read_times(reading, "restocked_at")
    _ask_outside(reading, asked)


def _read_status(reading: Reading) -> None:
    unsure: list[Line] = []
    for line in reading.lines:
        text = " ".join(line.texts.get("status", "").split())
        if PLANNED.search(text) and not re.match(r"held|went|took place|done", text, re.IGNORECASE):
            line.is_planned = True
            continue
        if early := EARLY.search(text):
            line.left_at = read_time(early.group(2))
        if HELD.search(text) or (early and line.left_at is not None):
            continue
        if COMING.search(text):
            line.is_planned = True
        elif CALLED_OFF.search(text):
            line.is_called_off = True
        else:
            unsure.append(line)
    if not unsure:
        return
    heading = reading.mapping.heading("status")
    rows = tuple(line.number for line in unsure)
    said = reading.questions.ask(
        "status",
        _("“%(text)s” in “%(column)s” (rows %(rows)s): did the market take place?")
        % {"text": unsure[0].texts["status"][:40], "column": heading, "rows": rows_in_words(rows)},
        (Choice("yes", _("Yes, it took place")), Choice("no", _("No, it was called off"))),
        rows=rows,
        column=heading,
    )
    for line in unsure:
        line.is_called_off = said == "no"


@lru_cache(maxsize=2048)
def weather_word(text: str) -> str | None:
    """ "dry", "rain", "" where nothing is noted, None for words that say neither."""
    if key_of(text) in ("", "-", "—", "–", "?", "unknown", "n/a"):
        return ""
    if re.search(r"\b(no|without) rain|\brain held off", text, re.IGNORECASE):
        return "dry"
    if RAIN.search(text) or key_of(text) in ("yes", "y", "x"):
        return "rain"
    return "dry" if DRY.search(text) or key_of(text) in ("n", "none") else None


def _read_weather(reading: Reading) -> None:
    unknown = []
    for line in reading.lines:
        word = weather_word(line.texts.get("weather", ""))
        line.weather = word or ""
        if word is None:
            unknown.append(line.texts["weather"])
    if unknown:
        reading.warnings.append(
            _("%(count)d notes in “%(column)s” say neither dry nor rain (“%(text)s”); those days count as unknown.")
            % {"count": len(unknown), "column": reading.mapping.heading("weather"), "text": unknown[0][:40]}
        )


def _after_opening(reading: Reading) -> None:
    """ "8 to 1" closes at 13:00; hours that still end before they begin are asked about."""
    wrong = []
    for line in reading.lines:
        opens, closes = line.opens, line.closes
        if opens is None or closes is None or closes > opens:
            continue
        if closes <= DAY // 2 and opens < closes + DAY // 2:
            line.closes = closes + DAY // 2
        else:
            wrong.append(line)
    if not wrong:
        return
    rows = tuple(line.number for line in wrong)
    heading = reading.mapping.heading("closes")
    said = reading.questions.ask(
        "hours",
        _("The market closes before it opens in row %(rows)s. What shall be done?") % {"rows": rows_in_words(rows)},
        (
            Choice(UNKNOWN, _("Take the usual hours, 08:00 to 13:00")),
            Choice(LEAVE_OUT, _("Leave these rows out")),
        ),
        rows=rows,
        column=heading,
    )
    for line in wrong:
        line.opens, line.closes = DEFAULT_HOURS["opens"], DEFAULT_HOURS["closes"]
    if said == LEAVE_OUT:
        numbers = set(rows)
        reading.drop(lambda line: line.number in numbers, "hours")


def _went_home_early(reading: Reading) -> None:
    """A rainy day that closed well before the usual hour ended because the seller left: not a shorter market."""
    usual = usual_hours(reading.lines, "closes")
    for line in reading.lines:
        if line.opens is None or line.closes is None:
            continue
        usually = usual.get(line.market, line.closes)
        if line.left_at is not None:
            if line.left_at <= line.opens:
                line.left_at += DAY // 2
            if line.left_at >= line.closes:
                line.left_at = None
        elif line.weather == "rain" and line.closes <= usually - WENT_HOME and line.opens < usually:
            line.left_at, line.closes = line.closes, usually


def _read_times(reading: Reading, name: str) -> None:
    heading = reading.mapping.heading(name)
    bad = []
    for line in reading.lines:
        text = line.texts.get(name, "")
        if not text:
            continue
        read = read_times(text, line.opens, line.closes)
        if read.bad:
            bad.append((line.number, text))
        if name == "sold_out_at":
            line.out_at, line.is_out = read.minutes, read.out
        else:
            line.restocked_at = read.minutes
    said = ask_unreadable(reading, name, heading, bad)
    if said == LEAVE_OUT:
        numbers = {number for number, _text in bad}
        reading.drop(lambda line: line.number in numbers, "unreadable")


def _outside(line: Line) -> list[int]:
    """Times of the line before it opened or after it closed."""
    opens, closes = line.opens or 0, line.closes or DAY
    return [minute for minute in (*line.out_at, *line.restocked_at) if not opens <= minute <= closes]


def _ask_outside(reading: Reading, asked: frozenset[str]) -> None:
    """Sold out before it opened or after it closed: asked, never bent into the hours.

    Parameters
    ----------
    asked : set of str
        Markets whose hours the sheet does not tell; the question points to the one about them.
    """
    wrong = [line for line in reading.lines if _outside(line)]
    if not wrong:
        return
    first = wrong[0]
    rows = tuple(line.number for line in wrong)
    question = _(
        "%(time)s in row %(row)d is outside the market's hours, %(opens)s to %(closes)s (all such rows: %(rows)s)."
    )
    question %= {
        "time": clock(_outside(first)[0]),
        "row": first.number,
        "opens": clock(first.opens or 0),
        "closes": clock(first.closes or DAY),
        "rows": rows_in_words(rows),
    }
    markets = [market for market in dict.fromkeys(line.market for line in wrong) if market in asked]
    if markets:
        pointer = _("If the hours are wrong, change your answer to when %(markets)s opens and closes.")
        question += " " + pointer % {"markets": ", ".join(f"“{market}”" for market in markets[:6])}
    said = reading.questions.ask(
        "outside",
        question,
        (
            Choice(UNKNOWN, _("The time is wrong: it ran out, nobody knows when")),
            Choice(LONGER, _("The hours are wrong: on these days take full hours that hold the time")),
            Choice(LEAVE_OUT, _("Leave these rows out")),
        ),
        rows=rows,
        column=reading.mapping.heading("sold_out_at"),
    )
    if said == LEAVE_OUT:
        numbers = set(rows)
        reading.drop(lambda line: line.number in numbers, "outside")
    elif said == LONGER:
        _lengthen(reading, wrong)
    elif said == UNKNOWN:
        _forget_times(reading, wrong)


def _lengthen(reading: Reading, wrong: list[Line]) -> None:
    """Longer hours for the whole market day, whatever the item."""
    times: dict[tuple[object, str], list[int]] = {}
    for line in wrong:
        times.setdefault((line.day, line.market), []).extend(_outside(line))
    for line in reading.lines:
        if own := times.get((line.day, line.market)):
            begin, end = hours_around(own)
            line.opens, line.closes = min(line.opens or 0, begin), max(line.closes or DAY, end)


def _forget_times(reading: Reading, wrong: list[Line]) -> None:
    for line in wrong:
        # Without its time a sell-out that was filled again says nothing more.
        line.is_out = not line.restocked_at
        line.out_at = line.restocked_at = ()
    reading.warnings.append(
        ngettext(
            "A time outside the market's hours is taken as not noted (row %(rows)s).",
            "%(count)d times outside the market's hours are taken as not noted (rows %(rows)s).",
            len(wrong),
        )
        % {"count": len(wrong), "rows": rows_in_words(tuple(line.number for line in wrong))}
    )
