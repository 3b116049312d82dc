"""The committed notebook: made anew byte for byte, untidy, and read with the one doubt it is meant to raise."""

import csv
import zipfile
from collections import Counter
from datetime import date
from decimal import Decimal

import pytest

from farmops.exchange.notebook.notebook import read_notebook
from farmops.proving.demo_farm.market_notebook import FIXED_TIME, STEM, write_notebook
from tests.proving.demo_farm.conftest import DEMO

FILES = [DEMO / f"{STEM}.csv", DEMO / f"{STEM}.xlsx"]


@pytest.fixture(scope="module", params=FILES, ids=["csv", "xlsx"])
def read(request):
    return read_notebook(request.param.read_bytes(), request.param.name)


def test_the_committed_notebook_is_made_anew_byte_for_byte(season, tmp_path):
    for made, committed in zip(write_notebook(tmp_path, season), FILES, strict=True):
        assert made.read_bytes() == committed.read_bytes(), made.name


def test_the_spreadsheet_holds_no_clock_and_merged_headings():
    with zipfile.ZipFile(FILES[1]) as book:
        assert {entry.date_time for entry in book.infolist()} == {FIXED_TIME}
        assert b"2026-09-07T06:00:00Z</dcterms:modified>" in book.read("docProps/core.xml")
        assert b'<mergeCell ref="J3:K3"' in book.read("xl/worksheets/sheet1.xml")


def test_only_the_intended_doubt_is_raised(read):
    assert [(doubt.key, doubt.default, doubt.must_be_answered) for doubt in read.doubts] == [
        ("restocked", "part", False)
    ]
    assert read.warnings == ()
    assert read.differences == ()
    assert read.mapping.unused == ("Remarks",)
    assert read.table.heading_rows == (3, 4)
    assert read.table.total_rows == 1
    assert [(reason, count) for reason, count, _words in read.left_out] == [("called off", called_off_rows())]


def called_off_rows() -> int:
    with FILES[0].open(encoding="utf-8", newline="") as file:
        return sum("called off" in row for row in csv.reader(file))


def test_it_is_read_as_the_sheet_says(read, sheets):
    """Item by item and day by day the notebook and the sheet market_days tell the same."""
    steps = {row["item"]: Decimal(row["step"]) for row in sheets["items"]}
    expected = {}
    for row in sheets["market_days"]:
        if row["date"] >= "2026" and not row["status"]:
            step = steps[row["item"]]
            expected[row["date"], row["market"].casefold(), row["item"]] = (
                int(Decimal(row["brought"]) / step),
                int(Decimal(row["carried_in"] or 0) / step),
                int(Decimal(row["left_over"]) / step) if row["left_over"] else None,
                row["left_over"] == "0",
                tuple(row["sold_out_at"].split(";")) if row["sold_out_at"] else (),
                float(Decimal(row["price"]) * step),
                row["weather"],
            )
    got = {}
    for record in read.records:
        times = tuple(f"{minute // 60:02d}:{minute % 60:02d}" for minute in record.ran_out_at)
        got[record.day.isoformat(), record.market.casefold(), record.item.casefold()] = (
            record.brought,
            record.carried_in,
            record.left,
            record.ran_out,
            times,
            record.price,
            record.weather,
        )
    assert got == expected


def test_it_is_untidy():
    with FILES[0].open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    spelled = Counter(row[4] for row in rows[4:] if row[4])
    assert len(spelled) > len({name.strip().casefold() for name in spelled})
    assert sum(not any(row) for row in rows[4:]) == len({row[0] for row in rows[4:] if row[0] and row[0] != "Total"})
    assert rows[0][0].startswith("Market notebook 2026")
    assert any(int(row[0].split("/")[1]) > 12 for row in rows[4:] if "/" in row[0])


def test_both_files_tell_the_same():
    first, second = (read_notebook(path.read_bytes(), path.name).records for path in FILES)
    assert first == second
    assert (first[0].day, first[-1].day) == (date(2026, 4, 4), date(2026, 9, 5))
