"""Dates of a whole column: one style for all, asked where nothing decides, stopped at a contradiction."""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from django.utils.translation import gettext as _

from farmops.exchange.notebook.cells import Exact
from farmops.exchange.notebook.doubts import Choice, Questions, rows_in_words
from farmops.exchange.notebook.refusal import NotebookRefused

DAY_FIRST, MONTH_FIRST = "day first", "month first"
MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec".split()
LONG_MONTHS = "january february march april may june july august september october november december".split()
ISO = re.compile(r"(\d{4})[-/. ](\d{1,2})[-/. ](\d{1,2})(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?Z?)?$")
PARTS = re.compile(r"(\d{1,2})\s*[-/. ]\s*(\d{1,2})\s*[-/. ]\s*(\d{4}|\d{2})(?:\s+\d{1,2}:\d{2}(?::\d{2})?)?$")
SHORT = re.compile(r"(\d{1,2})\s*[-/.]\s*(\d{1,2})\.?$")
SERIAL = re.compile(r"\d{5}(?:\.\d+)?$")
DAY_NAMES = re.compile(r"(mon|tues?|wed(nes)?|thu(rs?)?|fri|sat(ur)?|sun)(day)?[.,]?\s+", re.IGNORECASE)
EARLIEST, LATEST = 1990, 2100


@dataclass(frozen=True, slots=True)
class ReadDates:
    """Dates by position (None = not known), the positions that could not be read, and the style found."""

    days: tuple[date | None, ...]
    bad: tuple[int, ...]
    style: str = ""


def read_dates(cells: list[tuple[int, str]], heading: str, questions: Questions) -> ReadDates:
    """Read one column.

    Parameters
    ----------
    cells : list of (row number, text)
    heading : str
        The column's heading, for questions.

    Raises
    ------
    NotebookRefused
        If the column contradicts itself; both rows are named.
    """
    style = _judge(cells, heading)
    undecided = [(row, text) for row, text in cells if _ambiguous(text)]
    if style is None and undecided:
        style = _ask_style(undecided, heading, questions)
    year = _ask_year(cells, heading, questions)
    days: list[date | None] = []
    bad = []
    for at, (_row, text) in enumerate(cells):
        day = parse_date(text, style, year) if text else None
        days.append(day)
        waits = (style is None and _ambiguous(text)) or (year is None and _without_year(text))
        if text and day is None and not waits:
            bad.append(at)
    return ReadDates(tuple(days), tuple(bad), style or "")


def are_mixed(texts: list[str]) -> bool:
    """Whether some dates are written out whole (2026-04-03) and others in parts (3/4/26).

    A spreadsheet that took one order of day and month for the other leaves such a column: the cells it could
    misread became dates, the others stayed text.
    """
    whole = sum(bool(ISO.match(_bare(text))) for text in texts)
    return whole > 0 and any(_parts(text) and not ISO.match(_bare(text)) for text in texts)


def in_words(day: date) -> str:
    """3 April 2026."""
    from django.utils import dates

    return f"{day.day} {dates.MONTHS[day.month]} {day.year}"


@lru_cache(maxsize=8192, typed=True)
def _parts(text: str) -> tuple[int, int] | None:
    found = PARTS.match(_bare(text)) or SHORT.match(_bare(text))
    return (int(found.group(1)), int(found.group(2))) if found and not isinstance(text, Exact) else None


def _bare(text: str) -> str:
    return DAY_NAMES.sub("", " ".join(text.split()), count=1)


def _ambiguous(text: str) -> bool:
    parts = _parts(text)
    return bool(parts) and all(1 <= part <= 12 for part in parts or ()) and parts is not None and parts[0] != parts[1]


def _judge(cells: list[tuple[int, str]], heading: str) -> str | None:
    first: dict[str, tuple[int, str]] = {}
    for row, text in cells:
        parts = _parts(text)
        if not parts or max(parts) > 31 or min(parts) < 1 or min(parts) > 12:
            continue
        if parts[0] > 12:
            first.setdefault(DAY_FIRST, (row, text))
        elif parts[1] > 12:
            first.setdefault(MONTH_FIRST, (row, text))
    if len(first) == 2:
        (day_row, day_text), (month_row, month_text) = first[DAY_FIRST], first[MONTH_FIRST]
        raise NotebookRefused(
            _(
                "The dates in “%(column)s” contradict each other: row %(day_row)d says %(day)s (day first), "
                "row %(month_row)d says %(month)s (month first)."
            )
            % {
                "column": heading,
                "day_row": day_row,
                "day": day_text,
                "month_row": month_row,
                "month": month_text,
            },
            _("Write all dates of the column in one way, e.g. 2026-04-03, and try again. Nothing was taken in."),
            column=heading,
            rows=tuple(sorted((day_row, month_row))),
        )
    return next(iter(first), None)


def _ask_style(cells: list[tuple[int, str]], heading: str, questions: Questions) -> str | None:
    year = 2000
    example = cells[0][1]
    choices = []
    for style, label in ((DAY_FIRST, _("day first")), (MONTH_FIRST, _("month first"))):
        day = parse_date(example, style, year)
        words = in_words(day) if day else ""
        if day and _without_year(example):
            words = words.rsplit(" ", 1)[0]
        said = _("%(text)s is %(day)s (%(style)s)") % {"text": example, "day": words, "style": label}
        choices.append(Choice(style, said))
    return questions.ask(
        "dates",
        _("What does %(text)s in “%(column)s” mean?") % {"text": example, "column": heading},
        tuple(choices),
        rows=tuple(row for row, _text in cells),
        column=heading,
    )


@lru_cache(maxsize=8192, typed=True)
def _without_year(text: str) -> bool:
    bare = _bare(text)
    return (bool(SHORT.match(bare)) and not isinstance(text, Exact)) or (
        _spelled(bare, 2000) is not None and not _has_year(bare)
    )


def _has_year(text: str) -> bool:
    return bool(re.search(r"\b\d{4}\b|['’]\d{2}\b", text)) or len(re.findall(r"\d+", text)) > 1


def _is_year(text: str) -> bool:
    return bool(re.fullmatch(r"(19|20)\d\d", text, re.ASCII))


def _ask_year(cells: list[tuple[int, str]], heading: str, questions: Questions) -> int | None:
    rows = tuple(row for row, text in cells if text and _without_year(text))
    if not rows:
        return None
    question = _("The dates in “%(column)s” have no year (rows %(rows)s). Which year is it?")
    said = questions.ask(
        "year", question % {"column": heading, "rows": rows_in_words(rows)}, rows=rows, column=heading, fits=_is_year
    )
    return int(said) if said else None


@lru_cache(maxsize=8192, typed=True)
def parse_date(text: str, style: str | None, year: int | None = None) -> date | None:
    """One date in the style of its column; None if it is no date, or if its year is out of 1990 to 2100."""
    bare = _bare(text)
    if found := ISO.match(bare):
        return _day(int(found.group(1)), int(found.group(2)), int(found.group(3)))
    if SERIAL.match(bare):
        # Sheets count days from 30 December 1899.
        return _sensible(date(1899, 12, 30) + timedelta(days=int(float(bare))))
    if isinstance(text, Exact):
        return None
    found = PARTS.match(bare) or SHORT.match(bare)
    if found:
        first, second = int(found.group(1)), int(found.group(2))
        if found.re is SHORT and year is None:
            return None
        full = _year(found.group(3)) if found.re is PARTS else year or 0
        day, month = (first, second) if style == DAY_FIRST or (style is None and first == second) else (second, first)
        return _day(full, month, day) if style or first == second else None
    return _spelled(bare, year)


def _spelled(text: str, year: int | None) -> date | None:
    words = re.findall(r"[^\W\d_]+|\d+", text.replace("'", " ").replace("’", " "))
    names = [word for word in words if not word.isdecimal() and word.casefold() not in ("st", "nd", "rd", "th", "of")]
    numbers = [word for word in words if word.isdecimal() and len(word) <= 4]
    if len(names) != 1 or not 1 <= len(numbers) <= 2 or len(text) > 40:
        return None
    month = _month(names[0].casefold())
    if month is None:
        return None
    if len(numbers) == 1:
        return _day(year, month, int(numbers[0])) if year else None
    if len(numbers[0]) == 4:
        numbers.reverse()
    return _day(_year(numbers[1]), month, int(numbers[0]))


def _month(name: str) -> int | None:
    if len(name) < 3:
        return None
    for number, (short, long) in enumerate(zip(MONTHS, LONG_MONTHS, strict=True), 1):
        if name == short or (name == "sept" and number == 9) or (long.startswith(name)):
            return number
    return None


def _year(text: str) -> int:
    return int(text) + 2000 if len(text) <= 2 else int(text)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return _sensible(date(year, month, day))
    except (ValueError, OverflowError):
        return None


def _sensible(day: date) -> date | None:
    return day if EARLIEST <= day.year <= LATEST else None
