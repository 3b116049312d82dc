"""Files as people drop them (CSV, XLSX, or all in one .zip) as CSV files by name, within limits."""

import csv
import io
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath

from django.utils.translation import gettext as _

from farmops.exchange.farm_sheets import MOST_BYTES
from farmops.exchange.notebook import NotebookRefused
from farmops.exchange.notebook.cells import Sheet
from farmops.exchange.notebook.workbook import sheets_of_workbook
from farmops.exchange.sheets.columns import SHEETS
from farmops.planning.rows import Fault, FaultsFound

File = tuple[str, bytes]
PACKED = (b"PK\x03\x04", b"PK\x05\x06")  # how a .zip begins, and an empty one
MOST_PARTS = 60  # a farm has twenty sheets, and each workbook takes seconds to open
NAMES = frozenset(sheet.name for sheet in SHEETS)
LEFT_BY_SYSTEMS = "__MACOSX"
OF_DOCUMENTS = ("[Content_Types].xml", "mimetype", "Index/", "Index.zip")  # a package, not a folder of sheets


def csv_files(files: Iterable[File]) -> list[File]:
    """Each file as CSV under its sheet's name: a .zip unpacked, a workbook as its sheets; others as they are.

    Raises
    ------
    FaultsFound
        With every file that cannot be opened, or unpacks to more than it may.
    """
    found: list[File] = []
    faults: list[Fault] = []
    for name, content in files:
        try:
            found += _unpacked(name, content)
        except FaultsFound as of_file:
            faults += of_file.faults
        if len(found) > MOST_PARTS or sum(len(one) for _name, one in found) > MOST_BYTES:
            raise _too_much(name)
    if faults:
        raise FaultsFound(faults)
    return found


def _unpacked(name: str, content: bytes) -> Iterator[File]:
    if not content.startswith(PACKED):
        yield name, content
        return
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = [part for part in archive.infolist() if not part.is_dir()]
            if not any(part.filename.startswith(OF_DOCUMENTS) for part in parts):
                yield from _parts(name, archive, parts)
                return
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError, ValueError, zlib.error) as error:
        raise _fault(name, _("This file is damaged, or locked with a password."),
                     _("Pack it again without a password, or drop the sheets themselves.")) from error  # fmt: skip
    yield from _of_workbook(name, content)


def _parts(name: str, archive: zipfile.ZipFile, parts: list[zipfile.ZipInfo]) -> Iterator[File]:
    """The files of a .zip, workbooks among them opened too; a .zip in a .zip is no sheet."""
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_BYTES:
        raise _too_much(name)
    for part in parts:
        path = PurePosixPath(part.filename.replace("\\", "/"))
        if path.parts[0] == LEFT_BY_SYSTEMS or path.name.startswith("."):
            continue
        content = archive.read(part)
        if path.suffix.casefold() == ".xlsx":
            yield from _of_workbook(path.name, content)
        else:
            yield path.name, content


def _of_workbook(name: str, content: bytes) -> Iterator[File]:
    """A workbook's sheets; one that stands alone may be named by its file."""
    try:
        sheets = sheets_of_workbook(content)
    except NotebookRefused as refusal:
        raise _fault(name, refusal.words, refusal.remedy) from refusal
    of_file = _plain(name.rsplit(".", 1)[0])
    for sheet in sheets:
        own = _plain(sheet.name)
        if own not in NAMES and len(sheets) == 1 and of_file in NAMES:
            own = of_file
        if own not in NAMES:
            raise _fault(name, _("It holds a sheet “%(sheet)s”, and there is no sheet of this name.")
                         % {"sheet": sheet.name[:60]},
                         _("Rename it or take it out; sheets are: %(names)s.")
                         % {"names": ", ".join(sheet.name for sheet in SHEETS)})  # fmt: skip
        if sheet.unread_from is not None:
            raise _fault(name, _("Thousands of empty rows stand above row %(row)d of “%(sheet)s”.")
                         % {"row": sheet.unread_from, "sheet": sheet.name[:60]},
                         _("Delete the empty rows, or save the sheet as CSV."))  # fmt: skip
        yield f"{own}.csv", _as_csv(sheet)


def _plain(name: str) -> str:
    return name.strip().casefold().replace(" ", "_")


def _as_csv(sheet: Sheet) -> bytes:
    """Rows stay on the line that the workbook shows beside them."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    at = 1
    for row in sheet.rows:
        text.write("\r\n" * (row.number - at))
        writer.writerow(row.cells)
        at = row.number + 1
    return text.getvalue().encode("utf-8-sig")


def _too_much(name: str) -> FaultsFound:
    return _fault(name, _("This unpacks to more than %(most)d MB or %(parts)d files.")
                  % {"most": MOST_BYTES >> 20, "parts": MOST_PARTS},
                  _("Drop only the farm's sheets."))  # fmt: skip


def _fault(name: str, problem: str, remedy: str) -> FaultsFound:
    shown = "".join(sign if sign.isprintable() else "?" for sign in name[:60])
    return FaultsFound([Fault(shown, None, "", problem, remedy)])
