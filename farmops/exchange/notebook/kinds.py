"""Files that are no sheets: told by their first bytes, refused in plain words with a remedy."""

import re

from django.utils.translation import gettext as _

from farmops.exchange.notebook.refusal import NotebookRefused

OTHER_KINDS = (
    (re.compile(rb"%PDF"), "PDF"),
    (re.compile(rb"\x89PNG|\xff\xd8\xff|GIF8|II\*\x00|MM\x00\*|BM.{4}\x00\x00\x00\x00|.{4}ftyp", re.DOTALL), "picture"),
    (re.compile(rb"RIFF.{4}WEBP", re.DOTALL), "picture"),
    (re.compile(rb"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), "xls"),
    (re.compile(rb"\x1f\x8b|BZh|7z\xbc\xaf|Rar!|\xfd7zXZ"), "packed"),
    (re.compile(rb"\{\\rtf"), "letter"),
    (re.compile(rb"\s*(<!doctype|<html|<\?xml|<table)", re.IGNORECASE), "page"),
)


def other_kind(kind: str) -> NotebookRefused:
    """The words for a file of another kind."""
    as_sheet = _("Open it in your spreadsheet program, save it as XLSX or CSV, and try again.")
    said = {
        "PDF": (_("This is a PDF, not a sheet."), _("Choose the sheet that it was printed from, as XLSX or CSV.")),
        "picture": (_("This is a picture, not a sheet."), _("Type the rows into a sheet, or paste them here.")),
        "xls": (_("This is an old .xls file, or a sheet locked with a password."), as_sheet),
        "ods": (_("This is an .ods sheet."), as_sheet),
        "numbers": (_("This is a .numbers sheet."), _("Export it from Numbers as XLSX or CSV, and try again.")),
        "xlsb": (_("This is an .xlsb sheet."), as_sheet),
        "packed": (_("This is a packed folder."), _("Unpack it and choose the sheet inside.")),
        "letter": (_("This is a text document, not a sheet."), _("Copy its table into a sheet, or paste it here.")),
        "page": (_("This is a web page, not a sheet."), as_sheet),
        "binary": (_("This is not a sheet that can be read."), _("Save the sheet as XLSX or CSV, and try again.")),
        "broken": (_("This XLSX file is damaged."), as_sheet),
    }
    return NotebookRefused(*said[kind])


def nothing_there() -> NotebookRefused:
    """The words for an empty file."""
    return NotebookRefused(
        _("There is nothing in it."), _("Choose the sheet with your market days, or paste its rows, heading included.")
    )


def refuse_other_kinds(source: bytes) -> None:
    """Stop at what is surely no text."""
    for pattern, kind in OTHER_KINDS:
        if pattern.match(source):
            raise other_kind(kind)
