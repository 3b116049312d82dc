"""One file to rows by column name; what is wrong with the file is said with its row."""

import pytest

from farmops.exchange.sheets import table
from farmops.exchange.sheets.column import Column, Kind, Sheet
from farmops.exchange.sheets.folder import files_of_sheets
from farmops.exchange.sheets.table import Line, read_table

SPACES = Sheet(
    "spaces",
    "places",
    (
        Column("space", Kind.NAME, required=True, meaning="what it is called"),
        Column("places", Kind.INT, required=True, meaning="how many"),
        Column("note", Kind.TEXT, required=False, meaning="anything"),
    ),
)


def read(folder, content):
    path = folder / "spaces.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    faults = []
    return read_table(path, SPACES, faults), [(fault.row, fault.column, fault.problem) for fault in faults]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("start", [b"", b"\xef\xbb\xbf"], ids=["plain", "with mark"])
def test_rows_by_column_name_whatever_stands_between(tmp_path, mark, start):
    text = f'Space{mark}Places{mark}Note\n\nB-1{mark} 6 {mark}\nB-2{mark}4{mark}"wet{mark} low"\n'
    assert read(tmp_path, start + text.encode()) == (
        [Line(3, {"space": "B-1", "places": "6"}), Line(4, {"space": "B-2", "places": "4", "note": f"wet{mark} low"})],
        [],
    )


@pytest.mark.parametrize(
    ("content", "faults"),
    [
        ("", [(None, "", "The file is empty.")]),
        (b"space,places\nB-1,\xff\n", [(2, "", "The file is not UTF-8 text.")]),
        ("space,places\nB-1,\0\n", [(2, "", "The file is not text.")]),
        ("space,size\n", [(1, "size", "This sheet has no such column."), (1, "places", "This column is missing.")]),
        ("space,places,places\n", [(1, "places", "This column stands here twice.")]),
        ("space,places\nB-1,1,250\n", [(2, "", "This row has more cells than there are columns.")]),
        ('space,places\n"B-1,6\n', [(2, "", "From here on the file cannot be read.")]),
    ],
    ids=["empty", "bytes", "nought", "unknown", "twice", "comma", "quotation mark"],
)
def test_what_is_wrong_with_a_file(tmp_path, content, faults):
    assert read(tmp_path, content) == ([], faults)


def test_a_file_far_too_large_is_not_read(tmp_path, monkeypatch):
    monkeypatch.setattr(table, "MAX_BYTES", 2**20)
    assert read(tmp_path, b"x" * (2**21)) == ([], [(None, "", "The file has 2 MB; up to 1 are read.")])


def test_rows_cells_and_columns_have_a_limit(tmp_path, monkeypatch):
    for name, most in (("MAX_ROWS", 2), ("MAX_CELL", 6), ("MAX_COLUMNS", 2)):
        with monkeypatch.context() as limits:
            limits.setattr(table, name, most)
            content = {"MAX_ROWS": "space,places\nB-1,6\nB-2,6\n", "MAX_CELL": "space,places\nB-1 and more,6\n"}.get(
                name, "space,places\nB-1,6,7\n"
            )
            assert read(tmp_path, content)[1] == [
                (3 if name == "MAX_ROWS" else 2, "", "From here on the file cannot be read.")
            ]


@pytest.mark.parametrize("there", ["nothing", "a folder"])
def test_a_sheet_that_cannot_be_opened_is_said(tmp_path, there):
    path = tmp_path / "spaces.csv"
    if there == "nothing":
        path.symlink_to(tmp_path / "gone.csv")
    else:
        path.mkdir()
    faults = []
    assert read_table(path, SPACES, faults) == []
    assert [fault.problem.startswith("The file cannot be opened: ") for fault in faults] == [True]


def test_a_folder_named_like_a_sheet_is_not_passed_over(tmp_path):
    (tmp_path / "picks.csv").mkdir()
    (tmp_path / "old").mkdir()
    assert files_of_sheets(tmp_path, []) == {"picks": tmp_path / "picks.csv"}
