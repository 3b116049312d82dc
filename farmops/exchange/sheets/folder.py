"""Which file of a folder is which sheet; every file that is none is a fault: nothing is passed over silently."""

from pathlib import Path

from django.utils.translation import gettext as _

from farmops.exchange.sheets.columns import SHEETS
from farmops.planning.rows import Fault

MEANINGS = "what the columns mean.txt"  # comes with the blank sheets
LEFT_BY_SYSTEMS = {"desktop.ini", "thumbs.db"}


def files_of_sheets(folder: Path, faults: list[Fault]) -> dict[str, Path]:
    """The file of each sheet, whatever case its name is written in; the other files are added to `faults`."""
    found: dict[str, Path] = {}
    for path in sorted(folder.iterdir()):
        plain = path.name.casefold()
        sheet = _sheet_meant(plain)
        if (path.is_dir() and plain != f"{sheet}.csv") or _may_lie_here(plain):
            continue
        if plain != f"{sheet}.csv":
            faults.append(_not_read(path.name, sheet))
        elif sheet in found:
            faults.append(
                Fault(
                    sheet,
                    None,
                    "",
                    _("%(one)s and %(other)s are both this sheet.") % {"one": found[sheet].name, "other": path.name},
                    _("Leave one of the two."),
                )
            )
        else:
            found[sheet] = path
    return found


def _may_lie_here(plain: str) -> bool:
    hidden = plain.startswith((".", "~$")) or plain in LEFT_BY_SYSTEMS
    return hidden or plain.startswith("readme") or plain == MEANINGS


def _sheet_meant(plain: str) -> str:
    """The sheet that a file's name up to its first point speaks of, or ""."""
    stem = plain.split(".", 1)[0].strip().replace(" ", "_")
    return stem if any(sheet.name == stem for sheet in SHEETS) else ""


def _not_read(name: str, sheet: str) -> Fault:
    if sheet:
        return Fault(
            sheet,
            None,
            "",
            _("The file %(name)s is not read: a sheet is a CSV file.") % {"name": name},
            _("Save it as %(sheet)s.csv (“CSV UTF-8”) and take this one out.") % {"sheet": sheet},
        )
    return Fault(
        name.rsplit(".", 1)[0] if name.casefold().endswith(".csv") else name,
        None,
        "",
        _("There is no sheet of this name."),
        _("Rename it or take it out; sheets are: %(names)s.") % {"names": ", ".join(sheet.name for sheet in SHEETS)},
    )
