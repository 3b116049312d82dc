"""Rows to the text of a sheet: reading gives each value back, and no text is a formula to a spreadsheet."""

import csv
import io
import re
from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from farmops.core.calendar import MonthDay, week_of
from farmops.core.quantities import rounded
from farmops.exchange.notebook.names import spelling
from farmops.exchange.sheets.cells import RECKONED, WEEKDAYS
from farmops.exchange.sheets.column import KEY, Column, Kind, Sheet
from farmops.exchange.sheets.columns import SCHEDULES
from farmops.exchange.sheets.read import FIELDS
from farmops.planning.rows import Row

RISKY = re.compile(rf"'*[{RECKONED}]")
OF_LAST_STAGE = ("packed", "stands_good_days")  # said of no other stage, whatever stands there when nothing is said
HARVEST = next(column for column in SCHEDULES.columns if column.name == "harvest")
PLACES = 12  # behind the point, as many as a cell may have


def sheet_bytes(sheet: Sheet, rows: Iterable[Row]) -> bytes:
    """One sheet as a spreadsheet opens it with accents right: UTF-8 with its mark, every column, the key last."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    columns = (*sheet.columns, KEY)
    writer.writerow(column.name for column in columns)
    writer.writerows([_cell(sheet, row, column) for column in columns] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def texts_of(sheet: Sheet, row: Row) -> dict[str, str]:
    """What a row says, by column, without what is empty and without its key: the same for rows that say the same."""
    texts = {column.name: _cell(sheet, row, column) for column in sheet.columns}
    return {name: text for name, text in texts.items() if text}


def _cell(sheet: Sheet, row: Row, column: Column) -> str:
    if sheet.name == "schedules" and column.name in OF_LAST_STAGE and not value_in(row, HARVEST):
        return ""
    return text_of(value_in(row, column), column)


def value_in(row: Row, column: Column) -> Any:  # what the column's kind makes of a cell
    return getattr(row, FIELDS.get(column.name, column.name))


def text_of(value: Any, column: Column) -> str:
    """The cell for a value; reading it gives the value again."""
    if value is None or value == "":
        return ""
    return WRITERS[column.kind](value)


def safe_text(text: str) -> str:
    """A text that no spreadsheet takes for a formula; reading takes the apostrophe off again."""
    text = text.rstrip()
    return f"'{text}" if RISKY.match(text) or text != text.lstrip() else text


def _name(text: str) -> str:
    return safe_text(spelling(text))


def _plain(number: Decimal) -> str:
    if number != (short := rounded(number, PLACES)):
        number = short
    text = f"{number:f}"
    return (text.rstrip("0").rstrip(".") or "0") if "." in text else text


def _money(money: Decimal) -> str:
    return f"{rounded(money, 2):f}" if money == rounded(money, 2) else _plain(money)


def _percent(share: Decimal) -> str:
    return _plain(share * 100)


def _time(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _month_day(month_day: MonthDay) -> str:
    return f"{month_day[0]:02d}-{month_day[1]:02d}"


def _week(monday: date) -> str:
    return str(week_of(monday))


def _money_or_percent(value: tuple[Decimal, bool]) -> str:
    figure, is_share = value
    return f"{_percent(figure)}%" if is_share else _money(figure)


def _prices_by_time(value: Iterable[tuple[int, int, Decimal]]) -> str:
    parts = []
    for minute, count, price in sorted(value):
        parts.append(f"{_time(minute)}={_money(price) if count == 1 else f'{count} for {_money(price)}'}")
    return ";".join(parts)


WRITERS: dict[Kind, Callable[[Any], str]] = {  # Any: as value_in
    Kind.TEXT: safe_text,
    Kind.NAME: _name,
    Kind.TIME_ZONE: str,
    Kind.CHOICE: str,
    Kind.DAY: date.isoformat,
    Kind.MONTH_DAY: _month_day,
    Kind.TIME: _time,
    Kind.TIMES: lambda minutes: ";".join(map(_time, sorted(minutes))),
    Kind.WEEK: _week,
    Kind.WEEKDAY: lambda day: WEEKDAYS[day],
    Kind.WEEKDAYS: lambda days: ";".join(WEEKDAYS[day] for day in sorted(set(days))),
    Kind.INT: str,
    Kind.AMOUNT: _plain,
    Kind.NUMBER: _plain,
    Kind.MONEY: _money,
    Kind.PERCENT: _percent,
    Kind.PERCENTS: lambda shares: ";".join(map(_percent, shares)),
    Kind.DAYS_BY_DATE: lambda table: ";".join(f"{_month_day(day)}={_plain(days)}" for day, days in sorted(table)),
    Kind.MONEY_OR_PERCENT: _money_or_percent,
    Kind.AMOUNTS_BY_TIME: lambda parts: ";".join(f"{_time(when)}={_plain(much)}" for when, much in sorted(parts)),
    Kind.PRICES_BY_TIME: _prices_by_time,
    Kind.YES: lambda is_so: "yes" if is_so else "",
}
