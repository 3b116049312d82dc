"""Read a folder of sheets into the farm."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from farmops import clock
from farmops.exchange.command_line import write_utf8
from farmops.exchange.read_sheets.said import said_of
from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.journal.refusal import Refused
from farmops.planning.rows import FaultsFound


class Command(BaseCommand):
    help = "Add the rows of a folder's sheets to the farm, all or nothing. Faults of the sheets end with exit code 2."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, metavar="FOLDER", help="the farm's sheets, CSV")
        parser.add_argument("--dry-run", action="store_true", help="say what would be added, and write nothing")

    def handle(self, *args: object, **options: Any) -> None:  # argparse hands over a dict of anything
        write_utf8()
        try:
            taken_in = read_sheets(options["folder"], now=clock.now(), dry_run=options["dry_run"])
        except FaultsFound as found:
            faults = [str(fault) for fault in found.faults]
            self.stop("\n".join([*faults, _("Nothing was read in.")]))
        except Refused as refusal:
            self.stop(str(refusal))
        self.stdout.write(said_of(taken_in, dry_run=options["dry_run"]))

    def stop(self, words: str) -> NoReturn:
        self.stderr.write(words)
        raise SystemExit(2)
