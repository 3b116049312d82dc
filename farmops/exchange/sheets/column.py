"""What a sheet and a column are, and what may stand in a cell."""

from dataclasses import dataclass
from enum import StrEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


class Kind(StrEnum):
    """What may stand in a column."""

    TEXT = "text"
    NAME = "name"  # text that other rows refer to, or that refers to other rows
    TIME_ZONE = "time zone"  # America/New_York
    CHOICE = "choice"  # one of the words given with the column
    DAY = "date"  # 2026-09-11
    MONTH_DAY = "month-day"  # 09-11, every year
    TIME = "time"  # 09:30
    TIMES = "times"  # 09:30;12:10
    WEEK = "week"  # 2026-W37, ISO
    WEEKDAY = "weekday"  # mon tue wed thu fri sat sun
    WEEKDAYS = "weekdays"  # tue;fri
    INT = "int"  # whole, 0 or more
    AMOUNT = "amount"  # decimal, 0 or more
    NUMBER = "number"  # decimal, may be negative
    MONEY = "money"  # 3.50, in one and the same currency everywhere
    PERCENT = "percent"  # 92 or 92%
    PERCENTS = "percents"  # 100;80;60
    DAYS_BY_DATE = "days by date"  # 03-30=60;06-29=38;08-31=56
    MONEY_OR_PERCENT = "money or percent"  # 1.20 or 30%
    AMOUNTS_BY_TIME = "amounts by time"  # 10:15=30;11:00=20
    PRICES_BY_TIME = "prices by time"  # 12:00=4.00;12:30=2 for 5.00
    YES = "yes"  # yes, or empty


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in the sheet, what may stand in it, and its meaning in a line."""

    name: str
    kind: Kind
    required: bool
    meaning: Promise
    choices: tuple[str, ...] = ()
    may_be_empty: bool = False  # a required column whose cells may be empty (empty = unknown)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its name (and the file's), its columns, and whether a farm must have it to be planned."""

    name: str
    meaning: Promise
    columns: tuple[Column, ...]
    needed: bool = False


def must(name: str, kind: Kind, meaning: Promise, *choices: str, may_be_empty: bool = False) -> Column:
    """A column that a sheet must have."""
    return Column(name, kind, True, meaning, choices, may_be_empty)


def may(name: str, kind: Kind, meaning: Promise, *choices: str) -> Column:
    """A column that a sheet may have."""
    return Column(name, kind, False, meaning, choices)


KEY = may("key", Kind.TEXT, _("tells apart rows that are alike; the same key is the same row"))
