"""Sheets dropped in together are read as the folder they would be on disk."""

import io
import zipfile

import pytest

from farmops.exchange.farm_sheets import blank_sheets, bundle, read_bundle
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.exchange.views.sowing import DEMO_SHEETS
from farmops.planning.rows import FaultsFound

FILES = {path.name: path.read_bytes() for path in DEMO_SHEETS.glob("*.csv")}


def test_a_bundle_is_read_as_the_folder_is():
    assert read_bundle(bundle(FILES)) == read_folder(DEMO_SHEETS)


def test_the_same_sheets_make_the_same_bundle_in_any_order_and_spelling_of_their_names():
    again = {name.upper(): FILES[name] for name in reversed(sorted(FILES))}
    assert bundle(again) == bundle(FILES)


def test_no_sheet_at_all_is_a_fault_with_a_remedy():
    with pytest.raises(FaultsFound) as found:
        bundle({})
    assert [(fault.problem, fault.remedy) for fault in found.value.faults] == [
        ("No sheet was chosen.", "Choose the CSV files together.")
    ]


def test_a_path_in_a_name_stays_a_name():
    with zipfile.ZipFile(io.BytesIO(bundle({"../../etc/farm.csv": b"x"}))) as archive:
        assert archive.namelist() == ["farm.csv"]


def faults_of(files):
    with pytest.raises(FaultsFound) as found:
        bundle(files)
    return [(fault.sheet, fault.problem) for fault in found.value.faults]


def test_two_files_of_one_name_are_a_fault():
    assert faults_of({"Items.csv": b"a", "items.csv": b"b"}) == [("items.csv", "2 files have this name.")]
    assert faults_of([("old/items.csv", b"a"), ("new\\items.csv", b"b")]) == [("items.csv", "2 files have this name.")]


@pytest.mark.parametrize(
    ("name", "shown", "problem"),
    [
        ("x" * 121 + ".csv", "x" * 60 + "…", "The name of this file has more than 120 characters."),
        ("🥬" * 100 + ".csv", "🥬" * 60, "The name of this file cannot be read."),
        ("items\0.csv", "items?.csv", "The name of this file cannot be read."),
        ("items\n.csv", "items?.csv", "The name of this file cannot be read."),
        ("\udce9.csv", "?.csv", "The name of this file cannot be read."),
        ("items:x.csv", "items:x.csv", "The name of this file cannot be read."),
        ("..", "..", "The name of this file cannot be read."),
        ("", "", "The name of this file cannot be read."),
    ],
)
def test_a_name_that_no_disk_takes_is_a_fault(name, shown, problem):
    assert faults_of({name: b"x"}) == [(shown, problem)]


def test_a_file_that_is_no_sheet_is_a_fault_in_a_bundle_too():
    with pytest.raises(FaultsFound) as found:
        read_bundle(bundle({**FILES, "Walks.xlsx": b"x"}))
    assert [str(fault) for fault in found.value.faults] == [
        "walks: The file walks.xlsx is not read: a sheet is a CSV file. "
        "Save it as walks.csv (“CSV UTF-8”) and take this one out."
    ]


def test_blank_sheets_have_every_column():
    with zipfile.ZipFile(io.BytesIO(blank_sheets())) as archive:
        headings = {
            name: archive.read(name).decode("utf-8-sig").strip() for name in archive.namelist() if ".csv" in name
        }
    assert headings == {f"{sheet.name}.csv": ",".join(column.name for column in sheet.columns) for sheet in SHEETS}
