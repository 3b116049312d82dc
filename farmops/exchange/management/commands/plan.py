"""What to sow, from a folder of sheets."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from farmops.exchange.command_line import a_day, write_utf8
from farmops.exchange.plan_answer import as_json, as_text
from farmops.exchange.sheets.read import read_folder
from farmops.planning.rows import FaultsFound
from farmops.planning.solver import SolverFailed
from farmops.planning.sowing import plan_sowings


class Command(BaseCommand):
    help = "Say what to sow, and why. The answer alone is on stdout; faults of the sheets end with exit code 2."
    requires_system_checks = ()  # no screen and no database is needed

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--sheets", type=Path, required=True, metavar="FOLDER", help="the farm's sheets, CSV")
        parser.add_argument("--as-of", type=a_day, required=True, metavar="DATE", help="records after it are ignored")
        parser.add_argument("--json", action="store_true", help="for programs; else text")

    def handle(self, *args: object, **options: Any) -> None:  # argparse hands over a dict of anything
        write_utf8()
        try:
            answer = plan_sowings(read_folder(options["sheets"]), options["as_of"])
        except FaultsFound as found:
            self.stop("\n".join(str(fault) for fault in found.faults))
        except ValueError as refused:  # the programme names the figure it cannot work with
            self.stop(
                _("No plan can be made from these figures: %(why)s. Check them in the sheets.") % {"why": refused}
            )
        except SolverFailed as failed:
            self.stderr.write(_("No plan was found: %(why)s. Nothing was changed; try again.") % {"why": failed})
            raise SystemExit(1) from failed
        if options["json"]:
            self.stdout.write(json.dumps(as_json(answer), ensure_ascii=False, allow_nan=False, indent=1))
        else:
            self.stdout.write(as_text(answer))

    def stop(self, words: str) -> NoReturn:
        self.stderr.write(words)
        raise SystemExit(2)
