"""Files as people drop them."""

import io
import zipfile

import pytest
from openpyxl import Workbook

from farmops.exchange import dropped_sheets
from farmops.exchange.dropped_sheets import csv_files
from farmops.planning.rows import FaultsFound


def zipped(files):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return packed.getvalue()


def workbook(**sheets):
    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def faults_of(*files):
    with pytest.raises(FaultsFound) as found:
        csv_files(files)
    return [(fault.sheet, fault.problem) for fault in found.value.faults]


def test_a_zip_is_its_files_without_what_systems_leave():
    packed = zipped({"farm/picks.csv": b"a\n", "__MACOSX/._picks.csv": b"x", "farm/.DS_Store": b"x", "farm/": b""})
    assert csv_files([("farm.zip", packed), ("walks.csv", b"b\n")]) == [("picks.csv", b"a\n"), ("walks.csv", b"b\n")]


def test_a_workbook_is_its_sheets_with_rows_where_they_stand():
    book = workbook(Picks=[["planting", "amount"], [], ["P-1", 12.5]], walks=[["planting"]])
    told = [
        ("picks.csv", b"\xef\xbb\xbfplanting,amount\r\n\r\nP-1,12.5\r\n"),
        ("walks.csv", b"\xef\xbb\xbfplanting\r\n"),
    ]
    assert csv_files([("year.xlsx", book)]) == told
    assert csv_files([("year.zip", zipped({"year.XLSX": book}))]) == told


def test_one_sheet_alone_may_be_named_by_its_file():
    assert csv_files([("Seed Lots.xlsx", workbook(Sheet1=[["seed_lot"]]))]) == [
        ("seed_lots.csv", b"\xef\xbb\xbfseed_lot\r\n")
    ]
    assert faults_of(("mine.xlsx", workbook(Sheet1=[["a"]], Sheet2=[["b"]]))) == [
        ("mine.xlsx", "It holds a sheet “Sheet1”, and there is no sheet of this name.")
    ]


def test_what_cannot_be_opened_is_named_each(monkeypatch):
    locked = bytearray(zipped({"picks.csv": b"a" * 9}))
    locked[6] |= 1
    locked[locked.index(b"PK\x01\x02") + 8] |= 1
    letter = zipped({"[Content_Types].xml": b"", "word/document.xml": b""})
    assert faults_of(
        ("cut.zip", zipped({"a.csv": b"b"})[:40]), ("locked.zip", bytes(locked)), ("letter.docx", letter)
    ) == [
        ("cut.zip", "This file is damaged, or locked with a password."),
        ("locked.zip", "This file is damaged, or locked with a password."),
        ("letter.docx", "This is a text document, not a sheet."),
    ]


@pytest.mark.parametrize(
    "files",
    [
        pytest.param({"a.csv": b"0" * 41 * 2**20}, id="a bomb"),
        pytest.param({f"{number}.csv": b"" for number in range(61)}, id="too many files"),
    ],
)
def test_what_unpacks_to_too_much_is_not_unpacked(files, monkeypatch):
    monkeypatch.setattr(zipfile.ZipFile, "read", None)
    assert faults_of(("big.zip", zipped(files))) == [("big.zip", "This unpacks to more than 40 MB or 60 files.")]


def test_many_files_together_have_the_same_limit(monkeypatch):
    monkeypatch.setattr(dropped_sheets, "MOST_BYTES", 2**20)
    half = zipped({"picks.csv": b"0" * 700_000})
    assert faults_of(("one.zip", half), ("two.zip", half)) == [
        ("two.zip", "This unpacks to more than 1 MB or 60 files.")
    ]
