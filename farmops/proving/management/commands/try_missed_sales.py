"""Hold the look back at missed sales against simulated stalls that know them."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _

from farmops.proving.missed_sales import Trial, all_worlds, report, trials
from farmops.proving.product import missed_sales


class Command(BaseCommand):
    help = "How far the look back at missed sales is off in simulated stalls, and how often its range holds the truth."
    requires_system_checks = ()  # no screen and no database is needed

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seasons", type=int, default=2, help="half years of each world")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--json", action="store_true", help="the default")

    def handle(self, *args: Any, seasons: int, seed: int, **options: Any) -> None:
        if seasons < 1:
            raise CommandError(_("At least 1 season is needed."), returncode=2)
        found: list[Trial] = []
        for trial in trials(all_worlds(), seasons, seed, missed_sales):
            found.append(trial)
            self.stderr.write(
                f"{trial.met} {trial.world} {trial.season}: missed {trial.truth}, "
                f"said {trial.said.mean:.0f} ({trial.said.low:.0f} to {trial.said.high:.0f})"
            )
        self.stdout.write(json.dumps(report(found, seed, seasons), allow_nan=False, indent=1))
