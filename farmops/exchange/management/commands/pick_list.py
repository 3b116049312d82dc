"""The pick list of a harvest day, from a folder of sheets."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from farmops.exchange.command_line import a_day, write_utf8
from farmops.exchange.sheets.read import read_folder
from farmops.planning.pick_list_words import as_text
from farmops.planning.picking import pick_list
from farmops.planning.rows import FaultsFound
from farmops.planning.solver import SolverFailed


class Command(BaseCommand):
    help = "Print what to cut on a day, where, and for whom. Faults of the sheets end with exit code 2."
    requires_system_checks = ()  # no screen and no database is needed

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--sheets", type=Path, required=True, metavar="FOLDER", help="the farm's sheets, CSV")
        parser.add_argument("--day", type=a_day, required=True, metavar="DATE", help="the harvest day")

    def handle(self, *args: object, **options: Any) -> None:  # argparse hands over a dict of anything
        write_utf8()
        try:
            answer = pick_list(read_folder(options["sheets"]), options["day"])
        except FaultsFound as found:
            self.stderr.write("\n".join(str(fault) for fault in found.faults))
            raise SystemExit(2) from found
        except SolverFailed as failed:
            self.stderr.write(
                _("The list could not be shared out: %(why)s. Nothing was changed; try again.") % {"why": failed}
            )
            raise SystemExit(1) from failed
        self.stdout.write(as_text(answer))
