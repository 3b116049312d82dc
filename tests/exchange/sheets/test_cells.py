"""Cells of a sheet: each kind of column, and what is said when something else stands there."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.exchange.sheets.cells import CellFault, value_of
from farmops.exchange.sheets.column import Column, Kind


def read(text, kind, choices=()):
    return value_of(text, Column("c", kind, required=False, meaning="", choices=choices))


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (Kind.DAY, "2026-09-11", date(2026, 9, 11)),
        (Kind.MONTH_DAY, "2-29", (2, 29)),
        (Kind.TIME, "9:30", 570),
        (Kind.TIMES, "09:30; 12:10", (570, 730)),
        (Kind.WEEK, "2026-W53", date(2026, 12, 28)),
        (Kind.WEEKDAY, "Tuesday", 1),
        (Kind.WEEKDAYS, "fri;tue", (1, 4)),
        (Kind.INT, "40", 40),
        (Kind.AMOUNT, "12.5", Decimal("12.5")),
        (Kind.NUMBER, "-2.5", Decimal("-2.5")),
        (Kind.MONEY, "$3.50", Decimal("3.50")),
        (Kind.PERCENT, "92%", Decimal("0.92")),
        (Kind.PERCENTS, "100;80;60", (Decimal(1), Decimal("0.8"), Decimal("0.6"))),
        (Kind.DAYS_BY_DATE, "03-30=60;06-29=38", (((3, 30), Decimal(60)), ((6, 29), Decimal(38)))),
        (Kind.TIME_ZONE, "America/New_York", "America/New_York"),
    ],
)
def test_what_each_kind_reads(kind, text, value):
    assert read(text, kind) == value


def test_a_word_of_the_column_in_any_case():
    assert read("Took  Place", Kind.CHOICE, ("took place", "called off")) == "took place"


@pytest.mark.parametrize(
    ("kind", "text", "problem"),
    [
        (Kind.DAY, "9/11/26", "“9/11/26” is not a day."),
        (Kind.DAY, "1066-01-01", "The year 1066 cannot be meant."),
        (Kind.MONTH_DAY, "02-30", "“02-30” is not a day of the year."),
        (Kind.TIME, "24:00", "“24:00” is not a time."),
        (Kind.WEEK, "2027-W53", "“2027-W53” is not a week. (2027 has weeks 1 to 52, got 53)"),
        (Kind.WEEKDAY, "someday", "“someday” is not a weekday."),
        (Kind.INT, "2.5", "2.5 is not a whole number."),
        (Kind.AMOUNT, "-1", "-1 is less than nothing."),
        (Kind.AMOUNT, "12,5", "“12,5” has a comma, which can mean two things."),
        (Kind.AMOUNT, "12 lb", "“12 lb” is not a number."),
        (Kind.AMOUNT, "10000000000", "10000000000 is far too much."),
        (Kind.INT, "99999999999999999999", "99999999999999999999 is far too much."),
        (Kind.PERCENT, "101", "101 is more than all of it."),
        (Kind.DAYS_BY_DATE, "03-30", "“03-30” is not a date and its number."),
        (Kind.TIME_ZONE, "Meadow", "“Meadow” is not a time zone."),
        (Kind.CHOICE, "perhaps", "“perhaps” is not one of the words for this column."),
    ],
)
def test_what_is_said_of_anything_else(kind, text, problem):
    with pytest.raises(CellFault) as fault:
        read(text, kind, ("took place",))
    assert fault.value.problem == problem
    assert fault.value.remedy.endswith(".")
