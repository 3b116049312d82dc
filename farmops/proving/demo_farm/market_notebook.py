"""The invented farm's market notebook of one season, as a grower really keeps it: untidy, but all there."""

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from datetime import datetime, time
from decimal import Decimal
from itertools import groupby
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font

from farmops.proving.demo_farm import hidden
from farmops.proving.demo_farm.facts import FARM_NAME, ITEM, TODAY, price_of
from farmops.proving.demo_farm.records import amount_of, clock, plain
from farmops.proving.demo_farm.season import Season, StallDay, run

STEM = f"market notebook {TODAY.year}"
TITLE = f"Market notebook {TODAY.year} - {FARM_NAME}"
HEADING = (
    ("Date", ""), ("Where", ""), ("Open", ""), ("Close", ""), ("What", ""), ("Sold by", ""), ("Price each", ""),
    ("Took", ""), ("Carried over", ""), ("Restocked", ""), ("", "at"), ("Came back", ""), ("Ran out at", ""),
    ("Weather", ""), ("Held", ""), ("Remarks", ""),
)  # fmt: skip
MERGED = "J3:K3"  # "Restocked" stands over how much and when
DRY_WORDS = ("sunny", "dry", "cloudy, dry", "clear", "fine")
RAIN_WORDS = ("rain", "showers", "wet")
NO_TIME = ("", "", "?")  # how a forgotten time looks
FIXED_TIME = (2026, 9, 7, 6, 0, 0)
EMPTY_ROWS_AT_END = 25
Cell = str | float | int | datetime | time | None


def _untidy(name: str, row: StallDay) -> str:
    """The name as it was scribbled that day."""
    draw = hidden.stream("scribble", row.day, row.market.name, name).random()
    if draw < 0.06:
        return name.upper()
    if draw < 0.16:
        return name + " "
    return name if draw < 0.3 else name[0].upper() + name[1:]


def _weather(row: StallDay) -> str:
    words = {"dry": DRY_WORDS, "rain": RAIN_WORDS}.get(row.weather, ("",))
    return words[int(hidden.stream("sky", row.day).random() * len(words))]


def _hour(minute: int) -> str:
    return f"{(minute // 60 + 11) % 12 + 1} {'am' if minute < 720 else 'pm'}"


def _ran_out(row: StallDay) -> str:
    if row.sold_out_at:
        return "; ".join(clock(minute) for minute in row.sold_out_at)
    if row.left != 0:
        return ""
    return NO_TIME[int(hidden.stream("no time", row.day, row.item).random() * len(NO_TIME))]


def _cells(row: StallDay) -> list[str]:
    item = ITEM[row.item]
    came_back = "" if row.left is None else amount_of(row.item, row.left)
    return [
        f"{row.day.month}/{row.day.day}/{row.day.year}",
        _untidy(row.market.name, row),
        _hour(row.market.opens),
        _hour(row.market.closes),
        _untidy(row.item, row),
        item.unit,
        f"${price_of(row.item, row.day)}",
        amount_of(row.item, row.brought),
        amount_of(row.item, row.carried_in) if row.carried_in else "",
        amount_of(row.item, row.restocked) if row.restocked else "",
        clock(row.restocked_at),
        came_back,
        _ran_out(row),
        _weather(row),
        "called off" if row.called_off else "",
        row.called_off,
    ]


def rows(season: Season) -> Iterator[list[str]]:
    """Every row below the heading: a block for each market day with an empty row between, and a total at the end."""
    width = len(HEADING)
    noted = [row for row in season.stall if row.day.year == TODAY.year]
    for _day, block in groupby(noted, key=lambda row: row.day):
        yield from map(_cells, block)
        yield [""] * width
    took = sum(Decimal(amount_of(row.item, row.brought)) for row in noted)
    back = sum(Decimal(amount_of(row.item, row.left or 0)) for row in noted)
    total = ["Total", *[""] * (width - 1)]
    total[7], total[11] = plain(float(took)), plain(float(back))
    yield total


def csv_text(season: Season) -> str:
    """The notebook saved as CSV: a title, an empty row, two heading rows, then the days."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    width = len(HEADING)
    writer.writerow([TITLE, *[""] * (width - 1)])
    writer.writerow([""] * width)
    for part in (0, 1):
        writer.writerow([heading[part] for heading in HEADING])
    writer.writerows(rows(season))
    return text.getvalue()


def _typed(cells: list[str]) -> Iterable[Cell]:
    """The cells as a spreadsheet keeps them: days, numbers, times and texts."""
    for column, text in enumerate(cells):
        if not text:
            yield None
        elif column == 0 and "/" in text:
            yield datetime.strptime(text, "%m/%d/%Y")  # a spreadsheet's day has no time zone
        elif column in {7, 8, 9, 11}:
            yield float(text) if "." in text else int(text)
        elif column == 6:
            yield float(text.removeprefix("$"))
        elif column in {10, 12} and re.fullmatch(r"\d\d:\d\d", text):
            yield time(int(text[:2]), int(text[3:]))
        else:
            yield text


def workbook(season: Season) -> Workbook:
    """The notebook as a spreadsheet: merged title and heading, real days and times, formatted empty rows below."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Markets"
    sheet.append([TITLE])
    sheet.merge_cells(start_row=1, start_column=1, end_row=1, end_column=len(HEADING))
    sheet["A1"].font = Font(bold=True, size=14)
    sheet.append([])
    for part in (0, 1):
        sheet.append([heading[part] or None for heading in HEADING])
    sheet.merge_cells(MERGED)
    for cells in rows(season):
        # A row of None leaves no trace of its own in the file; the next row would move up.
        sheet._current_row += 0 if any(cells) else 1
        if any(cells):
            sheet.append(list(_typed(cells)))
    for row in sheet.iter_rows(min_row=5):
        row[0].number_format, row[6].number_format = "m/d/yyyy", "$0.00"
        row[10].number_format = row[12].number_format = "h:mm"
    for number in range(sheet.max_row + 1, sheet.max_row + 1 + EMPTY_ROWS_AT_END):
        sheet.cell(number, 1).number_format = "m/d/yyyy"
    return book


def xlsx_bytes(season: Season) -> bytes:
    """The spreadsheet's bytes, the same every time: no clock, no compression that differs between machines."""
    book = workbook(season)
    book.properties.creator = FARM_NAME
    book.properties.created = datetime(*FIXED_TIME)
    saved, fixed = io.BytesIO(), io.BytesIO()
    book.save(saved)
    stamp = datetime(*FIXED_TIME).strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with zipfile.ZipFile(saved) as source, zipfile.ZipFile(fixed, "w", zipfile.ZIP_STORED) as target:
        for name in sorted(source.namelist()):
            content = source.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, content)
            entry = zipfile.ZipInfo(name, FIXED_TIME)
            entry.create_system = 3
            target.writestr(entry, content)
    return fixed.getvalue()


def write_notebook(folder: Path, season: Season | None = None) -> list[Path]:
    """Write the notebook as CSV and as XLSX into `folder`; what was written."""
    season = run() if season is None else season
    folder.mkdir(parents=True, exist_ok=True)
    text, book = folder / f"{STEM}.csv", folder / f"{STEM}.xlsx"
    text.write_bytes(csv_text(season).encode("utf-8"))
    book.write_bytes(xlsx_bytes(season))
    return [text, book]
