"""The farm's sheets in one .zip, to take everything along from a page, with a word on what they do not carry."""

import io
import tempfile
import zipfile
from pathlib import Path

from django.utils.translation import gettext as _

from farmops.exchange.write_sheets import Written, write_sheets

README = "readme.txt"  # reading passes over it
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the same farm gives the same bytes


def sheets_to_take() -> bytes:
    """Every sheet of the farm as it stands now; dropped into an empty farm they make it again."""
    packed = io.BytesIO()
    with tempfile.TemporaryDirectory(prefix="sheets-") as folder, zipfile.ZipFile(packed, "w") as archive:
        written = write_sheets(Path(folder))
        for path in written.files:
            _add(archive, path.name, path.read_bytes())
        _add(archive, README, "\ufeff".encode() + _told(written).encode())
    return packed.getvalue()


def _add(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    archive.writestr(zipfile.ZipInfo(name, _FIRST_DAY), content, zipfile.ZIP_DEFLATED)


def _told(written: Written) -> str:
    lines = [_("The farm's sheets: drop this file, or the sheets in it, on the page “Sheets”.")]
    if written.left_out:
        lines += ["", _("Not in the sheets, kept in the farm's records alone:"), *written.left_out]
    if written.will_not_read:
        lines += ["", _("These sheets could not be read into an empty farm as they are:"), *written.will_not_read]
    return "\r\n".join([*lines, ""])
