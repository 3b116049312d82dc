"""`start`: open Bench to Stall on this computer, and with `--phones` to the phones of its network."""

import socket
from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from farmops import clock
from farmops.exchange.demo import DEMO_SHEETS, fill_demo, is_filled
from farmops.people.access import has_account
from farmops.people.let_in import Purpose, make_link
from farmops.serving import EVERYWHERE, HOST, NotDurable, PortTaken, make_ready, open_port, own_addresses, serve

FIRST_LINK_LASTS = timedelta(hours=12)


class Command(BaseCommand):
    help = "Open Bench to Stall in this computer's browser: prints the address; Ctrl-C ends it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=port_number, help="port to use; else the first free one from 8000 on")
        parser.add_argument("--demo", action="store_true", help="open an invented farm, with records of its own")
        parser.add_argument("--phones", action="store_true", help="let phones of this network reach it too")

    def handle(self, *args: Any, port: int | None, demo: bool, phones: bool, **options: Any) -> None:
        if demo and not settings.DEMO:
            raise CommandError(_("Write --demo in full."), returncode=2)
        if phones and settings.DEMO:
            raise CommandError(
                _("Phones do not reach the invented farm, where nobody needs a password. Leave one of the two out."),
                returncode=2,
            )
        try:
            listening = open_port(port, host=EVERYWHERE if phones else HOST)
            make_ready()
            if settings.DEMO:
                self._fill_demo()
            is_begun = has_account()
        except (PortTaken, NotDurable) as refusal:
            raise CommandError(str(refusal), returncode=2) from refusal
        except (DatabaseError, OSError) as error:
            words = " ".join(str(error).split())
            raise CommandError(_("The records cannot be opened: %(error)s") % {"error": words}) from error
        if phones and not is_begun:
            raise CommandError(
                _("Phones can reach it once there is an account: start without --phones and open the link it prints."),
                returncode=2,
            )
        taken = listening.getsockname()[1]
        if port is None and taken != 8000:
            self.stderr.write(_("Port 8000 is taken, so another is used. "))
        self._tell(taken, phones=phones, is_begun=is_begun)
        connection.close()
        serve(listening)

    def _tell(self, port: int, *, phones: bool, is_begun: bool) -> None:
        """The address alone on stdout; all else, and the link that is a secret, where people read it."""
        address = f"http://{HOST}:{port}"
        self.stdout.write(_("Bench to Stall is open at %(address)s/") % {"address": address})
        self.stdout.flush()
        self.stderr.write(_("Type that address into a browser on this computer. Ctrl-C ends it."))
        if phones:
            self._open_to_phones(port)
        if not is_begun and not settings.DEMO:
            secret = make_link(purpose=Purpose.FIRST_ACCOUNT, now=clock.now(), lasts=FIRST_LINK_LASTS)
            link = address + reverse("first-account", args=[secret])
            self.stderr.write(_("Nobody has an account yet. Yours, the grower's, works once within twelve hours:"))
            self.stderr.write(link)

    def _open_to_phones(self, port: int) -> None:
        addresses, name = own_addresses(), socket.gethostname()
        settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, *addresses, name, f"{name}.local"]
        settings.PHONES_AT = [f"http://{address}:{port}" for address in addresses]
        if not addresses:
            self.stderr.write(_("This computer is on no network, so no phone reaches it."))
        for address in settings.PHONES_AT:
            self.stderr.write(_("Phones of this network reach it at %(address)s/") % {"address": address})

    def _fill_demo(self) -> None:
        if not DEMO_SHEETS.is_dir():
            raise CommandError(_("The demo farm's sheets (fixtures/demo) are not here. Start without --demo."))
        if not is_filled():
            self.stderr.write(_("Filling the invented farm's records; this takes a few seconds, and only once."))
            fill_demo(timezone.now())


def port_number(text: str) -> int:
    """A TCP port from what was typed; 0 lets the system choose."""
    number = int(text)
    if not 0 <= number <= 65535:
        raise ValueError(text)
    return number
