"""A farm's sheets as dropped in together: kept as one bundle in memory, read as the folder they would be on disk."""

import io
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path

from django.utils.translation import gettext as _

from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.planning.rows import FarmRows, Fault, FaultsFound

MOST_BYTES = 40 * 2**20  # all sheets together; ten years of a farm's records have about 15
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the same bundle always has the same bytes


def bundle(files: Mapping[str, bytes]) -> bytes:
    """The files as one bundle, names in lower case; FaultsFound if there are none or too much."""
    if not files:
        raise FaultsFound([Fault("sheets", None, "", _("No sheet was chosen."), _("Choose the CSV files together."))])
    if sum(map(len, files.values())) > MOST_BYTES:
        raise FaultsFound([Fault("sheets", None, "", _("These files are too large together."),
                                 _("Choose only the farm's sheets."))])  # fmt: skip
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in sorted((Path(name).name.casefold(), content) for name, content in files.items()):
            archive.writestr(zipfile.ZipInfo(name, _FIRST_DAY), content)
    return packed.getvalue()


def read_bundle(packed: bytes) -> FarmRows:
    """The farm's rows from a bundle made here. Raises FaultsFound with every fault."""
    with tempfile.TemporaryDirectory(prefix="sheets-") as folder, zipfile.ZipFile(io.BytesIO(packed)) as archive:
        for name in archive.namelist():
            (Path(folder) / Path(name).name).write_bytes(archive.read(name))
        return read_folder(Path(folder))


def blank_sheets() -> bytes:
    """One empty CSV for each sheet with its column names, and a page that says what each column means."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        meanings = []
        for sheet in SHEETS:
            heading = ",".join(column.name for column in sheet.columns)
            archive.writestr(zipfile.ZipInfo(f"{sheet.name}.csv", _FIRST_DAY), f"\ufeff{heading}\r\n")
            needed = _("needed") if sheet.needed else _("if you have it")
            meanings.append(f"{sheet.name}.csv: {sheet.meaning} ({needed})")
            meanings += [f"    {column.name}: {column.meaning}" for column in sheet.columns]
            meanings.append("")
        archive.writestr(zipfile.ZipInfo("what the columns mean.txt", _FIRST_DAY), "\ufeff" + "\r\n".join(meanings))
    return packed.getvalue()
