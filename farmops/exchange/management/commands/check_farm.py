"""Verify the farm's records."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.check_farm.check import check_farm
from farmops.exchange.command_line import write_utf8
from farmops.farm.days import farm_today


class Command(BaseCommand):
    help = "Verify on the farm's records everything that must hold of them. Exit code 2 where something does not."

    def handle(self, *args: object, **options: Any) -> None:  # argparse hands over a dict of anything
        write_utf8()
        wrong = list(check_farm(farm_today()))
        for one in wrong:
            self.stdout.write(str(one))
        if wrong:
            count = len(wrong)
            self.stderr.write(ngettext("%(n)d thing is wrong.", "%(n)d things are wrong.", count) % {"n": count})
            raise SystemExit(2)
        self.stdout.write(_("Everything holds."))
