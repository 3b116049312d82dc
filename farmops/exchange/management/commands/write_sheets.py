"""Write the farm as a folder of sheets."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from farmops.exchange.command_line import write_utf8
from farmops.exchange.write_sheets import said_of, write_sheets


class Command(BaseCommand):
    help = "Write the farm's sheets into a folder; what sheets do not carry is listed on stderr."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, metavar="FOLDER")

    def handle(self, *args: object, folder: Path, **options: Any) -> None:  # argparse hands over a dict of anything
        write_utf8()
        try:
            written = write_sheets(folder)
        except OSError as error:
            words = {"folder": folder, "why": error.strerror or error}
            self.stderr.write(_("Nothing can be written into %(folder)s: %(why)s. Name another folder.") % words)
            raise SystemExit(2) from error
        self.stdout.write(said_of(written, folder))
        if written.left_out:
            self.stderr.write(_("Not in the sheets, kept in the farm's records alone:"))
            self.stderr.write("\n".join(f"  {line}" for line in written.left_out))
        if written.will_not_read:
            self.stderr.write(_("These sheets could not be read into an empty farm as they are:"))
            self.stderr.write("\n".join(f"  {line}" for line in written.will_not_read))
            raise SystemExit(2)
