import io

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from farmops.exchange.notebook import Answers, NotebookRefused, decode
from farmops.exchange.notebook.doubts import Questions
from farmops.exchange.notebook.table import find_table, letters
from tests.exchange.notebook.sheets import xlsx


def table(source, **given):
    questions = Questions(Answers.of(given))
    return find_table(decode(source), questions), questions


def harvest_book():
    """Catalogue I01: title rows, merged headings, a leading space, a total row, 800 formatted empty rows."""
    book = Workbook()
    sheet = book.active
    sheet["A1"] = "Harvest 2025"
    sheet.merge_cells("A1:F1")
    for column, words in zip("ABCE", ["Date", " Crop", "Amount", "Who"], strict=True):
        sheet[f"{column}3"] = words
    sheet.merge_cells("C3:D3")
    for column, words in zip("ABCD", [" ", " ", "lb ", "bunch"], strict=True):
        sheet[f"{column}4"] = words
    for number in range(5, 9):
        for column, value in enumerate([f"2025-06-{number:02d}", "Kale", 3.5, 12, "Ann"], 1):
            sheet.cell(number, column, value)
    sheet.append(["Total", None, 14, 48])
    for number in range(10, 810):
        sheet.cell(number, 1).font = Font(bold=True)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.case("I01")
def test_title_rows_merged_headings_total_and_empty_rows():
    found, questions = table(harvest_book())
    assert found.heading_rows == (3, 4)
    assert found.headings == ("Date", "Crop", "Amount lb", "Amount bunch", "Who")
    assert [row.number for row in found.rows] == [5, 6, 7, 8]
    assert found.left_out_in_words == "1 total row, 800 empty rows left out"
    assert questions.doubts == []


@pytest.mark.case("I01")
def test_the_heading_can_be_pointed_at():
    found, _questions = table(harvest_book(), heading="5")
    assert found.heading_rows == (5,)
    assert found.headings == ("2025-06-05", "Kale", "3.5", "12", "Ann")


def test_a_sheet_without_a_heading_is_asked_about():
    found, questions = table("2026-04-03,Kale,40,6\n2026-04-04,Kale,40,2\n")
    assert [doubt.key for doubt in questions.open] == ["heading"]
    found, questions = table("2026-04-03,Kale,40,6\n2026-04-04,Kale,40,2\n", heading="0")
    assert found.headings == ("Column A (2026-04-03)", "Column B (Kale)", "Column C (40)", "Column D (6)")
    assert len(found.rows) == 2


def test_the_sheet_that_looks_like_a_notebook_is_taken_and_named():
    notebook = [["Date", "Item", "Brought", "Left over"], ["2026-04-03", "Kale", 40, 6]]
    source = xlsx([["Seeds", "Price"], ["Kale", 3]], more=[("2026", notebook)])
    found, questions = table(source)
    assert (found.sheet, found.headings) == ("2026", ("Date", "Item", "Brought", "Left over"))
    assert [(doubt.key, doubt.default) for doubt in questions.doubts] == [("sheet", "2026")]


def test_a_heading_with_nothing_below_is_refused():
    with pytest.raises(NotebookRefused, match="There is a heading in row 1, but no rows below it"):
        table("Date,Item,Brought\n")


def test_one_line_of_prose_is_refused():
    with pytest.raises(NotebookRefused, match="does not look like a market notebook"):
        table("hello there")


def test_an_average_row_is_left_out_but_an_item_called_so_is_not():
    found, _questions = table(
        "Date,Item,Brought,Left\n2026-04-03,Average mix,40,6\n,Average,40,6\nTotals for April,,40,6\n"
    )
    assert [row.cells[1] for row in found.rows] == ["Average mix"]
    assert found.total_rows == 2


def test_columns_have_the_letters_of_the_sheet():
    assert [letters(column) for column in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]
