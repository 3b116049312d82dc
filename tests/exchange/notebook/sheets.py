"""Sheets made for these tests."""

import io

from openpyxl import Workbook


def xlsx(rows, *, merged=(), formats=None, more=()):
    """Bytes of a workbook with one sheet of `rows`; `more` are (title, rows) of further sheets."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Market"
    _fill(sheet, rows, formats)
    for cells in merged:
        sheet.merge_cells(cells)
    for title, other in more:
        _fill(book.create_sheet(title), other, None)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _fill(sheet, rows, formats):
    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            if value is not None:
                cell = sheet.cell(number, column, value)
                if formats and column in formats and number > 1:
                    cell.number_format = formats[column]


def text(rows, mark=","):
    return "\n".join(mark.join("" if cell is None else str(cell) for cell in row) for row in rows) + "\n"
