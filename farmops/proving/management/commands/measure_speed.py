"""How fast it is, as ratios: every figure is held against another of the same minute on the same computer."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _

from farmops.exchange.command_line import write_utf8
from farmops.proving.speed.measuring import GROUPS, Run, answer, measure
from farmops.proving.speed.ratios import Row
from farmops.proving.speed.talking import WorkerFailed


class Command(BaseCommand):
    help = "Measure how fast it is, as ratios: ten years of records against one, pages against bare ones, and so on."
    requires_system_checks: list[str] = []  # noqa: RUF012  (Django's own annotation)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="the answer as JSON")
        parser.add_argument(
            "--only", nargs="+", default=[], metavar="NAME", help=f"groups ({', '.join(GROUPS)}) or rows"
        )
        parser.add_argument("--years", type=int, default=10, help="of records of the older farm (default 10)")
        parser.add_argument("--strict", action="store_true", help="exit 1 where a limit is missed")

    def handle(
        self, *_args: Any, only: list[str], years: int, strict: bool, **options: Any
    ) -> None:  # Any: Django's options
        write_utf8()
        unknown = [name for name in only if name.split(":")[0] not in GROUPS]
        if unknown:
            words = {"unknown": ", ".join(unknown), "groups": ", ".join(GROUPS)}
            raise CommandError(_("There is no %(unknown)s to measure; groups are: %(groups)s.") % words, returncode=2)
        if years < 1:
            raise CommandError(_("A farm has at least a year of records."), returncode=2)
        run, rows = Run(only, years), []
        try:
            for row in measure(run):
                rows.append(row)
                if options["json"]:
                    self.stderr.write(in_words(row))
                else:
                    self.stdout.write(in_words(row))
        except WorkerFailed as failed:
            raise CommandError(_("It could not be measured: %(why)s") % {"why": failed}, returncode=1) from failed
        for name, why in run.left_out:
            self.stderr.write(_("Left out: %(name)s (%(why)s)") % {"name": name, "why": why})
        if not rows:
            raise CommandError(_("Nothing of that name was measured."), returncode=2)
        if options["json"]:
            json.dump(answer(rows, run), self.stdout, indent=1, allow_nan=False)
            self.stdout.write("")
        if strict and not all(row.ok for row in rows):
            raise CommandError(_("Limits are missed."), returncode=1)


def in_words(row: Row) -> str:
    """years:due-now  1.03 (± .04, at most 1.15)  ok."""
    limit = "" if row.limit is None else f"at most {row.limit:.4g}"
    spread = "" if row.spread is None else f"±{row.spread:.2f}"
    figures = f"{row.measured:.4g} / {row.against:.4g} {row.unit}" + (f" ({row.limit_from})" if row.limit_from else "")
    return f"{row.name:<44}{row.ratio:>8.2f} {spread:<7}{limit:<14}{'ok' if row.ok else 'MISSED':<8}{figures}"
