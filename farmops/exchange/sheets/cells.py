"""One cell of a sheet: text to a value of the column's kind, or what is wrong and what to write instead."""

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.utils.translation import gettext as _

from farmops.core.calendar import MonthDay, Week, in_year
from farmops.exchange.notebook.names import spelling
from farmops.exchange.sheets.column import Column, Kind

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LARGEST = Decimal(10) ** 9
FIRST_YEAR, LAST_YEAR = 1980, 2100
RECKONED = "=+\\-@\t\r\n"  # a spreadsheet takes a text that begins so for a formula, or drops the sign
GUARDED = re.compile(rf"'+[{RECKONED}]")

# What a cell becomes depends on its column's kind; the dataclass it goes into states the type.
Value = Any


class CellFault(ValueError):
    """A cell that cannot be used: `problem` and `remedy` in words."""

    def __init__(self, problem: str, remedy: str) -> None:
        super().__init__(f"{problem} {remedy}")
        self.problem = problem
        self.remedy = remedy


def value_of(text: str, column: Column) -> Value:
    """The value of a cell that is not empty.

    Raises
    ------
    CellFault
        If it is not of the column's kind.
    """
    if column.kind is Kind.CHOICE:
        return _choice(text, column.choices)
    return READERS[column.kind](text)


def _choice(text: str, choices: tuple[str, ...]) -> str:
    plain = spelling(text).casefold()
    if plain not in choices:
        raise CellFault(
            _("“%(text)s” is not one of the words for this column.") % {"text": text[:40]},
            _("Write one of: %(choices)s.") % {"choices": ", ".join(choices)},
        )
    return plain


def _day(text: str) -> date:
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            raise ValueError
        day = date.fromisoformat(text)
    except ValueError:
        raise CellFault(
            _("“%(text)s” is not a day.") % {"text": text[:40]}, _("Write year-month-day, e.g. 2026-09-11.")
        ) from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise CellFault(_("The year %(year)d cannot be meant.") % {"year": day.year}, _("Check the year."))
    return day


def _time_zone(text: str) -> str:
    try:
        ZoneInfo(text)
    except (ValueError, OSError, ZoneInfoNotFoundError):
        raise CellFault(
            _("“%(text)s” is not a time zone.") % {"text": text[:40]}, _("Write one like America/New_York.")
        ) from None
    return text


def _month_day(text: str) -> MonthDay:
    match = re.fullmatch(r"([0-9]{1,2})-([0-9]{1,2})", text)
    try:
        if match is None:
            raise ValueError
        month_day = (int(match[1]), int(match[2]))
        in_year(month_day, 2028)
    except ValueError:
        raise CellFault(
            _("“%(text)s” is not a day of the year.") % {"text": text[:40]},
            _("Write month-day, e.g. 09-11 for 11 September."),
        ) from None
    return month_day


def _time(text: str) -> int:
    match = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})", text)
    if match is None or int(match[1]) > 23 or int(match[2]) > 59:
        raise CellFault(_("“%(text)s” is not a time.") % {"text": text[:40]}, _("Write hours:minutes, e.g. 09:30."))
    return int(match[1]) * 60 + int(match[2])


def _times(text: str) -> tuple[int, ...]:
    return tuple(_time(part.strip()) for part in text.split(";") if part.strip())


def _week(text: str) -> date:
    match = re.fullmatch(r"([0-9]{4})-?[Ww]([0-9]{1,2})", text)
    try:
        if match is None:
            raise ValueError
        monday = Week(int(match[1]), int(match[2])).monday
    except ValueError as error:
        reason = f" ({error})" if str(error) else ""
        raise CellFault(
            _("“%(text)s” is not a week.") % {"text": text[:40]} + reason, _("Write year-Wweek, e.g. 2026-W37.")
        ) from None
    _day(monday.isoformat())
    return monday


def _weekday(text: str) -> int:
    plain = text.casefold()[:3]
    if plain not in WEEKDAYS:
        raise CellFault(
            _("“%(text)s” is not a weekday.") % {"text": text[:40]}, _("Write mon, tue, wed, thu, fri, sat or sun.")
        )
    return WEEKDAYS.index(plain)


def _weekdays(text: str) -> tuple[int, ...]:
    return tuple(sorted({_weekday(part.strip()) for part in text.split(";") if part.strip()}))


def _number(text: str) -> Decimal:
    if not re.fullmatch(r"-?[0-9]*(\.[0-9]{1,12})?", text) or not any(sign.isdigit() for sign in text):
        if "," in text:
            raise CellFault(
                _("“%(text)s” has a comma, which can mean two things.") % {"text": text[:40]},
                _("Write 12.5 for twelve and a half, and 1250 without a comma."),
            )
        raise CellFault(
            _("“%(text)s” is not a number.") % {"text": text[:40]},
            _("Write digits and a point, e.g. 12.5, without a unit; leave it empty if it is not known."),
        )
    number = Decimal(text)
    if abs(number) > LARGEST:
        raise CellFault(_("%(text)s is far too much.") % {"text": text[:40]}, _("Check the number."))
    return number


def _amount(text: str) -> Decimal:
    amount = _number(text)
    if amount < 0:
        raise CellFault(_("%(text)s is less than nothing.") % {"text": text[:40]}, _("Write 0 or more."))
    return amount


def _int(text: str) -> int:
    amount = _amount(text)
    if amount != int(amount):
        raise CellFault(_("%(text)s is not a whole number.") % {"text": text[:40]}, _("Write a whole number."))
    return int(amount)


def _money(text: str) -> Decimal:
    return _amount(text.removeprefix("$").strip())


def _percent(text: str) -> Decimal:
    share = _amount(text.removesuffix("%").strip()) / 100
    if share > 1:
        raise CellFault(
            _("%(text)s is more than all of it.") % {"text": text[:40]}, _("Write a percentage from 0 to 100.")
        )
    return share


def _percents(text: str) -> tuple[Decimal, ...]:
    return tuple(_percent(part.strip()) for part in text.split(";") if part.strip())


def _days_by_date(text: str) -> tuple[tuple[MonthDay, Decimal], ...]:
    table = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        month_day, equals, days = part.partition("=")
        if not equals:
            raise CellFault(
                _("“%(text)s” is not a date and its number.") % {"text": part[:40]},
                _("Write month-day=number with semicolons between, e.g. 03-30=60;06-29=38."),
            )
        table.append((_month_day(month_day.strip()), _amount(days.strip())))
    if len({month_day for month_day, _days in table}) != len(table):
        raise CellFault(_("A date stands in this table twice."), _("Leave one of the two."))
    return tuple(sorted(table))


def _amounts_by_time(text: str) -> tuple[tuple[int, Decimal], ...]:
    return tuple(
        sorted((minute, _amount(said)) for minute, said in _by_time(text, _("hours:minutes=amount, e.g. 10:15=30")))
    )


def _prices_by_time(text: str) -> tuple[tuple[int, int, Decimal], ...]:
    found = []
    for minute, said in _by_time(text, _("hours:minutes=price, e.g. 12:00=4.00;12:30=2 for 5.00")):
        count, word, price = said.partition(" for ")
        found.append((minute, _int(count.strip()) if word else 1, _money(price.strip() if word else said)))
    return tuple(sorted(found))


def _by_time(text: str, how: str) -> list[tuple[int, str]]:
    parts = [part.partition("=") for part in text.split(";") if part.strip()]
    if any(not equals or not said.strip() for _when, equals, said in parts):
        raise CellFault(
            _("“%(text)s” is not a time and what belongs to it.") % {"text": text[:40]},
            _("Write %(how)s.") % {"how": how},
        )
    return [(_time(when.strip()), said.strip()) for when, _equals, said in parts]


def _yes(text: str) -> bool:
    if text.casefold() != "yes":
        raise CellFault(
            _("“%(text)s” is not one of the words for this column.") % {"text": text[:40]},
            _("Write yes, or leave it empty."),
        )
    return True


def plain_text(text: str) -> str:
    """The text of a cell without the apostrophe that keeps a spreadsheet from reckoning with it."""
    return text[1:] if GUARDED.match(text) else text


def _name(text: str) -> str:
    return spelling(plain_text(text))


def _money_or_percent(text: str) -> tuple[Decimal, bool]:
    if text.endswith("%"):
        return _percent(text), True
    return _money(text), False


READERS: dict[Kind, Callable[[str], Value]] = {
    Kind.TEXT: plain_text,
    Kind.NAME: _name,
    Kind.TIME_ZONE: _time_zone,
    Kind.DAY: _day,
    Kind.MONTH_DAY: _month_day,
    Kind.TIME: _time,
    Kind.TIMES: _times,
    Kind.WEEK: _week,
    Kind.WEEKDAY: _weekday,
    Kind.WEEKDAYS: _weekdays,
    Kind.INT: _int,
    Kind.AMOUNT: _amount,
    Kind.NUMBER: _number,
    Kind.MONEY: _money,
    Kind.PERCENT: _percent,
    Kind.PERCENTS: _percents,
    Kind.DAYS_BY_DATE: _days_by_date,
    Kind.MONEY_OR_PERCENT: _money_or_percent,
    Kind.AMOUNTS_BY_TIME: _amounts_by_time,
    Kind.PRICES_BY_TIME: _prices_by_time,
    Kind.YES: _yes,
}
