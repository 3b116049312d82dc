"""Make the invented farm anew: its sheets and its market notebook."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from farmops.proving.demo_farm.market_notebook import write_notebook
from farmops.proving.demo_farm.season import run
from farmops.proving.demo_farm.sheets import write_sheets
from farmops.proving.demo_farm.truth import write_truth


class Command(BaseCommand):
    """Writes into a folder; the same seed makes the same bytes."""

    help = "Writes the sheets and the market notebook of the invented farm into FOLDER."
    requires_system_checks: list[str] = []  # noqa: RUF012  (Django's own annotation)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, metavar="FOLDER")
        parser.add_argument("--truth", type=Path, metavar="FOLDER", help="also write the hidden true demand there")

    def handle(self, *_args: Any, folder: Path, truth: Path | None, **_options: Any) -> None:  # Any: Django's options
        season = run()
        written = [*write_sheets(folder / "sheets", season), *write_notebook(folder, season)]
        if truth:
            written += write_truth(truth, season)
        self.stderr.write(_("%(count)d files written into %(folder)s") % {"count": len(written), "folder": folder})
