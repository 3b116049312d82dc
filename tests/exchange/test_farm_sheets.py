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
    again = {name.upper().replace(".CSV", ".csv"): FILES[name] for name in reversed(sorted(FILES))}
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


def test_blank_sheets_have_every_column():
    with zipfile.ZipFile(io.BytesIO(blank_sheets())) as archive:
        headings = {
            name: archive.read(name).decode("utf-8-sig").strip() for name in archive.namelist() if ".csv" in name
        }
    assert headings == {f"{sheet.name}.csv": ",".join(column.name for column in sheet.columns) for sheet in SHEETS}
