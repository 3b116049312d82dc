"""A farm's sheets as dropped in together: kept as one bundle in memory, read as the folder they would be on disk."""

import io
import re
import tempfile
import zipfile
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from django.utils.translation import gettext as _

from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.planning.rows import FarmRows, Fault, FaultsFound

MOST_BYTES = 40 * 2**20  # all sheets together; ten years of a farm's records have about 15
LONGEST_NAME, LONGEST_IN_BYTES = 120, 240  # a disk takes 255 bytes
ODD = re.compile(r'[<>:"|?*]')  # not every disk takes these in a name
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the same bundle always has the same bytes


def bundle(files: Mapping[str, bytes] | Iterable[tuple[str, bytes]]) -> bytes:
    """The files as one bundle, names in lower case.

    Parameters
    ----------
    files : mapping of name to bytes, or pairs of them
        Pairs where two files may have the same name.

    Raises
    ------
    FaultsFound
        If there are none or too much, or if names cannot be kept or are the same.
    """
    given = [(_plain_name(name), content) for name, content in (files.items() if isinstance(files, Mapping) else files)]
    if not given:
        raise FaultsFound([Fault("sheets", None, "", _("No sheet was chosen."), _("Choose the CSV files together."))])
    if sum(len(content) for _name, content in given) > MOST_BYTES:
        raise FaultsFound([Fault("sheets", None, "", _("These files are too large together."),
                                 _("Choose only the farm's sheets."))])  # fmt: skip
    if faults := _faults_of_names(Counter(name for name, _content in given)):
        raise FaultsFound(faults)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in sorted(given):
            archive.writestr(zipfile.ZipInfo(name, _FIRST_DAY), content)
    return packed.getvalue()


def _plain_name(name: str) -> str:
    """The name without the folders before it."""
    return re.split(r"[/\\]", name)[-1].casefold()


def _faults_of_names(counts: Counter[str]) -> list[Fault]:
    rename = _("Give it the name of its sheet, e.g. items.csv.")
    faults = []
    for name, count in counts.items():
        shown = "".join(sign if sign.isprintable() else "?" for sign in name[:60])
        if len(name) > LONGEST_NAME:
            problem = _("The name of this file has more than %(most)d characters.") % {"most": LONGEST_NAME}
            faults.append(Fault(f"{shown}…", None, "", problem, rename))
        elif (
            not name.strip(". ") or not name.isprintable() or ODD.search(name) or len(name.encode()) > LONGEST_IN_BYTES
        ):
            faults.append(Fault(shown, None, "", _("The name of this file cannot be read."), rename))
        elif count > 1:
            problem = _("%(count)d files have this name.") % {"count": count}
            faults.append(Fault(shown, None, "", problem, _("Leave one of them.")))
    return faults


def files_of(packed: bytes) -> dict[str, bytes]:
    """The files of a bundle made here."""
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        return {Path(name).name: archive.read(name) for name in archive.namelist()}


@contextmanager
def folder_of(packed: bytes) -> Iterator[Path]:
    """A bundle made here as a folder, for as long as it is needed."""
    with tempfile.TemporaryDirectory(prefix="sheets-") as folder:
        for name, content in files_of(packed).items():
            (Path(folder) / name).write_bytes(content)
        yield Path(folder)


def read_bundle(packed: bytes) -> FarmRows:
    """The farm's rows from a bundle made here. Raises FaultsFound with every fault."""
    with folder_of(packed) as folder:
        return read_folder(folder)


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
