import io
import zipfile
from datetime import date, datetime, time
from unittest.mock import Mock

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from farmops.exchange.notebook import NotebookRefused
from farmops.exchange.notebook.cells import MAX_BYTES, Exact
from farmops.exchange.notebook.decode import decode
from farmops.exchange.notebook.doubts import Questions
from farmops.exchange.notebook.table import find_table
from farmops.exchange.notebook.workbook import cell_text
from tests.exchange.notebook.sheets import xlsx

# Catalogue I04: the same three rows in the encodings that spreadsheet programs write. Built is the reading of them;
# writing them out and reading them back is not.
ROWS = ["Date{0}Item{0}Note", "2026-04-03{0}Jalapeño{0}½ lb", "2026-04-04{0}Crème{0}O’Neil"]


def saved(mark, encoding, bom=b""):
    return bom + "\r\n".join(row.format(mark) for row in ROWS).encode(encoding)


@pytest.mark.case("I04")
@pytest.mark.parametrize(
    "source",
    [
        pytest.param(saved(",", "utf-8", b"\xef\xbb\xbf"), id="utf-8 with mark"),
        pytest.param(saved("\t", "utf-16-le", b"\xff\xfe"), id="unicode text"),
        pytest.param(saved("\t", "utf-16-be", b"\xfe\xff"), id="utf-16 big-endian"),
        pytest.param(saved("\t", "utf-16-le"), id="utf-16 without mark"),
        pytest.param(saved(";", "cp1252"), id="windows-1252, semicolons"),
        pytest.param(saved(",", "utf-8"), id="plain utf-8"),
    ],
)
def test_the_same_rows_in_every_encoding(source):
    (sheet,) = decode(source)
    assert [(row.number, row.cells) for row in sheet.rows] == [
        (1, ("Date", "Item", "Note")),
        (2, ("2026-04-03", "Jalapeño", "½ lb")),
        (3, ("2026-04-04", "Crème", "O’Neil")),
    ]


@pytest.mark.case("I04")
def test_text_cut_in_the_middle_of_a_character_names_the_row():
    whole = saved(",", "utf-8")
    cut = whole[: whole.index("’".encode()) + 2]
    with pytest.raises(NotebookRefused) as refused:
        decode(cut)
    assert (refused.value.row, refused.value.words) == (
        3,
        "A character in row 3 is broken or cut off, so the file may not be whole.",
    )


def test_a_broken_character_inside_the_file_names_its_row():
    broken = saved(",", "utf-8").replace("ñ".encode(), b"\xc3")
    with pytest.raises(NotebookRefused) as refused:
        decode(broken)
    assert refused.value.row == 2


def test_utf16_cut_in_half():
    with pytest.raises(NotebookRefused) as refused:
        decode(saved("\t", "utf-16-le", b"\xff\xfe")[:-1])
    assert refused.value.row == 3


def zipped(names):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in names.items():
            package.writestr(name, content)
    return out.getvalue()


@pytest.mark.parametrize(
    ("source", "words"),
    [
        pytest.param(b"", "There is nothing in it.", id="empty"),
        pytest.param(b"  \r\n \t", "There is nothing in it.", id="blank"),
        pytest.param("", "There is nothing in it.", id="empty paste"),
        pytest.param(b"\xef\xbb\xbf", "There is nothing in it.", id="only a mark"),
        pytest.param(b"%PDF-1.7\n...", "This is a PDF, not a sheet.", id="pdf"),
        pytest.param(b"\x89PNG\r\n\x1a\n" + b"\0" * 50, "This is a picture, not a sheet.", id="png"),
        pytest.param(b"\xff\xd8\xff\xe0" + b"\0" * 50, "This is a picture, not a sheet.", id="jpeg"),
        pytest.param(b"\0\0\0\x18ftypheic" + b"\0" * 50, "This is a picture, not a sheet.", id="phone picture"),
        pytest.param(
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 500,
            "This is an old .xls file, or a sheet locked with a password.",
            id="xls",
        ),
        pytest.param(
            zipped({"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<x/>"}),
            "This is an .ods sheet.",
            id="ods",
        ),
        pytest.param(zipped({"Index/Document.iwa": "x"}), "This is a .numbers sheet.", id="numbers"),
        pytest.param(zipped({"xl/workbook.bin": "x"}), "This is an .xlsb sheet.", id="xlsb"),
        pytest.param(zipped({"word/document.xml": "x"}), "This is a text document, not a sheet.", id="docx"),
        pytest.param(zipped({"a.csv": "x"}), "This is a packed folder.", id="zip"),
        pytest.param(zipped({"xl/workbook.xml": "<x/>"}), "This XLSX file is damaged.", id="half a workbook"),
        pytest.param(xlsx([["a"]])[:-200], "This XLSX file is damaged.", id="cut workbook"),
        pytest.param(b"PK\x03\x04" + b"\x07" * 90, "This XLSX file is damaged.", id="no package"),
        pytest.param(b"<!DOCTYPE html><table>", "This is a web page, not a sheet.", id="web page"),
        pytest.param(bytes(range(256)) * 40, "This is not a sheet that can be read.", id="binary"),
        pytest.param(b"\x7fELF\x02\x01\x01" + b"\0" * 90, "This is not a sheet that can be read.", id="program"),
    ],
)
def test_what_is_no_sheet_is_refused_in_plain_words(source, words):
    with pytest.raises(NotebookRefused) as refused:
        decode(source)
    assert refused.value.words == words
    assert refused.value.remedy != ""


def test_fifty_megabytes_are_refused_unread():
    with pytest.raises(NotebookRefused) as refused:
        decode(b"a,b\n" * (50 * 2**18))
    assert refused.value.words == "This file has 50 MB; a notebook may have up to 10 MB."
    assert MAX_BYTES == 10 * 2**20


def test_a_zip_bomb_is_refused_by_what_it_says_it_unpacks_to():
    bomb = zipped({"xl/workbook.xml": "<x/>", "xl/worksheets/sheet1.xml": b"0" * (41 * 2**20)})
    assert len(bomb) < 200_000
    with pytest.raises(NotebookRefused) as refused:
        decode(bomb)
    assert refused.value.words == "This XLSX file unpacks to more than 40 MB."


def test_entities_in_a_workbook_are_never_expanded():
    lol = '<!DOCTYPE x [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    good = zipfile.ZipFile(io.BytesIO(xlsx([["Date", "Item"], ["x", "y"]])))
    parts = {name: good.read(name) for name in good.namelist()}
    sheet = "xl/worksheets/sheet1.xml"
    parts[sheet] = lol.encode() + parts[sheet].replace(b"<sheetData>", b"<sheetData><!-- &b; -->")
    with pytest.raises(NotebookRefused) as refused:
        decode(zipped(parts))
    assert refused.value.words == "This XLSX file is damaged."


def test_too_many_rows_columns_and_too_long_cells():
    with pytest.raises(NotebookRefused, match="more than 30000 rows"):
        decode("a,b\n" * 30_001)
    with pytest.raises(NotebookRefused, match="Row 1 has more than 200 columns"):
        decode(",".join("a" * 201) + "\n")
    with pytest.raises(NotebookRefused, match="more than 200 columns"):
        decode(xlsx([["a"] * 201]))
    with pytest.raises(NotebookRefused, match="more than 5000 characters"):
        decode("a" * 5_001 + ",b\n")


def test_a_quotation_mark_that_is_never_closed_names_its_row():
    with pytest.raises(NotebookRefused) as refused:
        decode('Date,Item\n2026-04-03,"Kale\n' + "2026-04-03,Kale\n" * 60)
    assert refused.value.words == "A quotation mark in row 2 is never closed."


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_the_mark_between_cells_is_found(mark):
    (sheet,) = decode(f"Date{mark}Item{mark}Price\n2026-04-03{mark}Kale{mark}2\n")
    assert sheet.rows[1].cells == ("2026-04-03", "Kale", "2")


def test_decimal_commas_do_not_pass_for_the_mark():
    (sheet,) = decode("Date;Item;Price\n2026-04-03;Kale;2,50\n2026-04-04;Kale;3,50\n")
    assert sheet.rows[1].cells == ("2026-04-03", "Kale", "2,50")


def test_rows_keep_the_numbers_of_the_sheet():
    (sheet,) = decode('sep=;\nDate;Note\n\n2026-04-03;"two\nlines"\n2026-04-04;x\n')
    assert [(row.number, row.cells) for row in sheet.rows] == [
        (2, ("Date", "Note")),
        (4, ("2026-04-03", "two\nlines")),
        (5, ("2026-04-04", "x")),
    ]
    assert sheet.empty_rows == 1


@pytest.mark.parametrize(
    ("value", "number_format", "expected"),
    [
        (datetime(2026, 4, 3), "", "2026-04-03"),
        (datetime(2026, 4, 3, 11, 40), "", "2026-04-03 11:40"),
        (date(2026, 4, 3), "", "2026-04-03"),
        (time(11, 40), "", "11:40"),
        (12.5, "", "12.5"),
        (12.0, "", "12"),
        (0.1 + 0.2, "", "0.3"),
        (1e9, "", "1000000000"),
        (0.3, "0%", "30%"),
        (True, "", "yes"),
        (None, "", ""),
    ],
)
def test_cells_of_a_workbook_as_a_person_would_type_them(value, number_format, expected):
    assert cell_text(value, number_format) == expected


def test_numbers_of_a_workbook_stay_known_as_numbers():
    (sheet,) = decode(xlsx([["Date", "Brought"], [date(2026, 4, 3), 1.125]]))
    assert [type(cell) for cell in sheet.rows[1].cells] == [str, Exact]


def test_a_formula_without_a_saved_result_shows_itself_and_is_not_worked_out():
    (sheet,) = decode(xlsx([["Date", "Sold"], ["2026-04-03", "=40-6"], ["2026-04-04", 3]]))
    assert sheet.rows[1].cells == ("2026-04-03", "=40-6")


def test_formatted_empty_rows_are_counted_and_end():
    book = Workbook()
    book.active.append(["Date", "Item"])
    book.active.append(["2026-04-03", "Kale"])
    for number in range(3, 803):
        book.active.cell(number, 1).font = Font(bold=True)
    out = io.BytesIO()
    book.save(out)
    (sheet,) = decode(out.getvalue())
    assert (len(sheet.rows), sheet.empty_rows) == (2, 800)


def test_a_cell_in_the_last_row_a_sheet_can_have_is_not_waited_for():
    book = Workbook()
    book.active.append(["Date", "Item"])
    book.active.append(["2026-04-03", "Kale"])
    book.active.cell(1_048_576, 1, "x")
    out = io.BytesIO()
    book.save(out)
    (sheet,) = decode(out.getvalue())
    assert [row.number for row in sheet.rows] == [1, 2]
    assert (sheet.empty_rows, sheet.unread_from) == (5_000, 5_003)
    table = find_table((sheet,), Questions({}))
    assert table.left_out_in_words == (
        "5000 empty rows, row 5003 and all below it (too many empty rows stand above) left out"
    )


def repacked(rows, strings=b""):
    """A workbook whose only sheet holds these rows, as XML, with these shared strings."""
    packed = io.BytesIO()
    namespace = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    with (
        zipfile.ZipFile(io.BytesIO(xlsx([["Date"]]))) as plain,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as to,
    ):
        for name in plain.namelist():
            sheet = b'<worksheet xmlns="%s"><sheetData>%s</sheetData></worksheet>' % (namespace, rows)
            to.writestr(name, sheet if name.startswith("xl/worksheets/") else plain.read(name))
        to.writestr("xl/sharedStrings.xml", b'<sst xmlns="%s">%s</sst>' % (namespace, strings))
    return packed.getvalue()


@pytest.mark.parametrize(
    "rows",
    [
        pytest.param(b"<row>" + b"<c/>" * 3_000_000 + b"</row>", id="one row of nothing but cells"),
        pytest.param((b"<row>" + b"<c/>" * 200 + b"</row>") * 10_000, id="rows of empty cells"),
        pytest.param(b"<row/>" * 3_000_000, id="rows without a cell"),
        pytest.param((b"<row>" + b"<c><f>1</f></c>" * 200 + b"</row>") * 900, id="formulas, which are read twice"),
    ],
)
def test_what_packs_small_and_reads_long_is_refused_unread(rows, monkeypatch):
    source = repacked(rows)
    assert len(source) < 200_000
    monkeypatch.setattr("farmops.exchange.notebook.workbook.load_workbook", None)
    with pytest.raises(NotebookRefused, match="too many cells or rows to read, empty ones included"):
        decode(source)


def test_shared_strings_without_text_count_too(monkeypatch):
    source = repacked(b"<row/>", b"<si/>" * 600_000)
    monkeypatch.setattr("farmops.exchange.notebook.workbook.load_workbook", None)
    with pytest.raises(NotebookRefused, match="too many cells or rows to read"):
        decode(source)


def test_ten_thousand_rows_of_fourteen_columns_are_not_too_much(monkeypatch):
    monkeypatch.setattr("farmops.exchange.notebook.workbook.load_workbook", read := Mock(side_effect=StopIteration))
    with pytest.raises(NotebookRefused, match="damaged"):
        decode(repacked((b"<row>" + b"<c><v>1</v></c>" * 12 + b"<c><f>1</f><v>1</v></c>" * 2 + b"</row>") * 10_000))
    assert read.call_count == 1


def test_many_sheets_with_a_cell_far_down_are_refused(monkeypatch):
    monkeypatch.setattr("farmops.exchange.notebook.workbook.MAX_ROWS_SEEN", 100)
    with pytest.raises(NotebookRefused, match="too many cells or rows"):
        decode(xlsx([["Date"]] * 40, more=[(f"S{at}", [["Date"]] * 40) for at in range(3)]))


def test_sheets_that_share_one_part_are_refused_unread(monkeypatch):
    monkeypatch.setattr("farmops.exchange.notebook.workbook.load_workbook", read := Mock(side_effect=StopIteration))
    packed, links = io.BytesIO(), "xl/_rels/workbook.xml.rels"
    two = io.BytesIO(xlsx([["Date"]], more=[("B", [["x"]])]))
    with zipfile.ZipFile(two) as plain, zipfile.ZipFile(packed, "w") as to:
        for name in plain.namelist():
            content = plain.read(name)
            to.writestr(name, content.replace(b"sheet2.xml", b"sheet1.xml") if name == links else content)
    with pytest.raises(NotebookRefused, match="damaged"):
        decode(packed.getvalue())
    assert read.call_count == 0


def test_the_notebook_is_found_behind_any_number_of_sheets():
    more = [(f"Other {at}", [["x", at]]) for at in range(35)]
    sheets = decode(xlsx([["nothing"]], more=[*more, ("Sales", [["Date", "Item", "Sold"], ["2026-04-03", "Kale", 3]])]))
    assert len(sheets) == 37
    assert find_table(sheets, Questions({})).sheet == "Sales"


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (b"<c><f>1+1</f><v>2</v></c>", "2"),
        (b"<c><f>1+1</f></c>", "=1+1"),
        (b"<c><f>1+1</f><v></v></c>", "=1+1"),
        (b"<c><f>1+1</f><v/></c>", "=1+1"),
    ],
)
def test_a_formula_shows_itself_only_where_no_result_was_saved(cell, expected):
    (sheet,) = decode(repacked(b"<row>" + cell + b"</row>"))
    assert sheet.rows[0].cells == (expected,)
