"""What to bring to the next market days, from a sheet of past ones or from a stream of questions."""

import json
import logging
import os
import sys
from argparse import ArgumentParser
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.utils.translation import gettext as _

from farmops.exchange.bring_answer import (
    MarketDaysRefused,
    as_json,
    as_table,
    fault_in_words,
    notes_of,
    outlook_of,
    read_market_days,
)
from farmops.exchange.command_line import a_day, write_utf8
from farmops.exchange.notebook.cells import MAX_BYTES
from farmops.exchange.stream import answer, refusal

logger = logging.getLogger(__name__)


class Command(BaseCommand):
    help = "Say what to bring to the next market days. The answer alone is on stdout; faults end with exit code 2."
    requires_system_checks = ()  # no screen and no database is needed

    def add_arguments(self, parser: ArgumentParser) -> None:
        way = parser.add_mutually_exclusive_group(required=True)
        way.add_argument("--market-days", type=Path, metavar="FILE", help="sheet of past market days, CSV or XLSX")
        way.add_argument("--stream", action="store_true", help="one JSON question a line on stdin, one answer a line")
        parser.add_argument("--as-of", type=a_day, metavar="DATE", help="rows after it are ignored and counted")
        parser.add_argument("--next", type=a_day, metavar="DATE", help="the day to bring to, for every market")
        parser.add_argument("--json", action="store_true", help="for programs; else a table")

    def handle(self, *args: object, **options: Any) -> None:  # argparse hands over a dict of anything
        write_utf8()
        if options["stream"]:
            self.answer_stream(sys.stdin.buffer)
            return
        path, as_of, next_day = options["market_days"], options["as_of"], options["next"]
        if as_of is None:
            self.stop(_("--as-of is missing: give the day up to which rows count, e.g. --as-of 2026-09-12."))
        if next_day is not None and next_day <= as_of:
            self.stop(_("--next %(next)s must be later than --as-of %(as_of)s.") % {"next": next_day, "as_of": as_of})
        try:
            notebook = read_market_days(self.content(path), path.name, as_of)
        except MarketDaysRefused as refused:
            self.stop("\n".join(fault_in_words(fault, path.name) for fault in refused.faults))
        for note in notes_of(notebook):
            self.stderr.write(self.style.NOTICE(note))
        outlook = outlook_of(notebook, as_of, next_day)
        if options["json"]:
            words = json.dumps(as_json(notebook, outlook), ensure_ascii=False, allow_nan=False, indent=1)
        else:
            words = as_table(notebook, outlook)
        self.stdout.write(words)

    def content(self, path: Path) -> bytes:
        try:
            with path.open("rb") as file:
                return file.read(MAX_BYTES + 1)
        except OSError as error:
            self.stop(_("%(path)s cannot be read: %(why)s.") % {"path": path, "why": error.strerror or error})

    def stop(self, words: str) -> NoReturn:
        self.stderr.write(words)
        raise SystemExit(2)

    def answer_stream(self, lines: Iterable[bytes]) -> None:
        """Answer each line on its own; a line that is no JSON gets an error and the next one is read."""
        try:
            for line in lines:
                if line.strip():
                    self.stdout.write(answer_line(line))
                    self.stdout.flush()
        except BrokenPipeError:
            # Nobody listens any more. What is still in the buffer must not raise again when Python closes it.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def answer_line(line: bytes) -> str:
    """One answer as one line of JSON, whatever the line says."""
    try:
        return _answer_line(line)
    except Exception:
        # The lines after this one still want their answers; what went wrong is in the log.
        logger.exception("a line could not be answered")
        return json.dumps(refusal(_("This line could not be answered. The others are.")), ensure_ascii=False)


def _answer_line(line: bytes) -> str:
    try:
        asked = json.loads(line.decode("utf-8-sig"), parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        return json.dumps(refusal(_("This line is no JSON: %(why)s") % {"why": error}), ensure_ascii=False)
    return json.dumps(answer(asked), ensure_ascii=False, allow_nan=False)


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(_("%(name)s is no number") % {"name": name})
