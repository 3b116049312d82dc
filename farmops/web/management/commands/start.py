"""`start`: open Bench to Stall on this computer."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils.translation import gettext as _

from farmops.serving import HOST, NotDurable, PortTaken, make_ready, open_port, serve


class Command(BaseCommand):
    help = "Open Bench to Stall in this computer's browser: prints the address; Ctrl-C ends it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=port_number, help="port to use; else the first free one from 8000 on")
        parser.add_argument("--demo", action="store_true", help="offer the notebook of the invented demo farm")

    def handle(self, *args: Any, port: int | None, demo: bool, **options: Any) -> None:
        if demo:
            self._offer_demo()
        try:
            listening = open_port(port)
            make_ready()
        except (PortTaken, NotDurable) as refusal:
            raise CommandError(str(refusal), returncode=2) from refusal
        except (DatabaseError, OSError) as error:
            words = " ".join(str(error).split())
            raise CommandError(_("The records cannot be opened: %(error)s") % {"error": words}) from error
        taken = listening.getsockname()[1]
        if port is None and taken != 8000:
            self.stderr.write(_("Port 8000 is taken, so another is used. "))
        self.stdout.write(_("Bench to Stall is open at http://%(host)s:%(port)d/") % {"host": HOST, "port": taken})
        self.stdout.flush()
        self.stderr.write(_("Type that address into a browser on this computer. Ctrl-C ends it."))
        serve(listening)

    def _offer_demo(self) -> None:
        if not (settings.BASE_DIR / "fixtures" / "demo").is_dir():
            raise CommandError(_("The demo farm's sheets (fixtures/demo) are not here. Start without --demo."))
        settings.DEMO = True


def port_number(text: str) -> int:
    """A TCP port from what was typed; 0 lets the system choose."""
    number = int(text)
    if not 0 <= number <= 65535:
        raise ValueError(text)
    return number
