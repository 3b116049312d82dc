"""Try the product on a restaurant's real demand, cut off as a stall's notebook would show it."""

import json
import multiprocessing
import os
from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _

from farmops.proving.product import product
from farmops.proving.restaurant_table import SHARES, markdown, one_share, report
from farmops.proving.restaurant_walk import Json


def set_up() -> None:
    """A worker is a fresh interpreter: the product's words need the settings loaded."""
    import django

    django.setup()


def play(task: tuple[float, int]) -> Json:
    share, seed = task
    return one_share(share, seed, product)


class Command(BaseCommand):
    help = "Try the product on real demand of which it sees only what a stall that runs out would have noted."
    requires_system_checks = ()  # no screen and no database is needed

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--shares", nargs="+", type=float, default=list(SHARES), help="days that run out")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--processes", type=int, default=2)
        form = parser.add_mutually_exclusive_group()
        form.add_argument("--json", action="store_true", help="the default")
        form.add_argument("--markdown", action="store_true", help="the table of the README")

    def handle(self, *args: object, **options: object) -> None:
        shares, seed, processes = options["shares"], options["seed"], options["processes"]
        if not isinstance(shares, list) or not isinstance(seed, int) or not isinstance(processes, int):
            raise CommandError(_("Shares are numbers, seed and processes whole numbers."), returncode=2)
        if processes < 1 or not all(0 < share < 1 for share in shares):
            raise CommandError(_("Each share must lie between 0 and 1; at least 1 process is needed."), returncode=2)
        os.environ["OMP_NUM_THREADS"] = "1"
        results = []
        with multiprocessing.get_context("spawn").Pool(processes, initializer=set_up) as pool:
            for one in pool.imap(play, [(float(share), seed) for share in shares]):
                results.append(one)
                self.stderr.write(f"{one['share']}: done")
        answer = report(results, seed)
        text = markdown(answer) if options["markdown"] else json.dumps(answer, indent=1, allow_nan=False)
        self.stdout.write(text)
