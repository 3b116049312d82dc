"""A pick list of so many lines as PDF, beside the PDF library alone on the same page."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.urls import reverse

from farmops.harvest.models import PickLine, PickSheet
from farmops.paper.pdf import pdf_engine
from farmops.proving.speed.asking import Browser


class NoEngine(Exception):
    """This computer makes no PDF."""


def sheet_of(lines: int) -> PickSheet:
    """A newer version of the latest list, its lines over and over until there are so many.

    Raises
    ------
    ValueError
        If there is no list with lines.
    """
    latest = PickSheet.objects.order_by("-pk").first()
    known = list(PickLine.objects.filter(sheet=latest).order_by("position")) if latest else []
    if latest is None or not known:
        raise ValueError("there is no pick list to lengthen")
    sheet = PickSheet.objects.create(pick_on=latest.pick_on, version=latest.version + 1, made_at=latest.made_at)
    for position in range(1, lines + 1):
        line = known[(position - 1) % len(known)]
        line.pk, line.sheet, line.position = None, sheet, position
        line.save(force_insert=True)
    return sheet


def seconds_of_paper(browser: Browser, sheet: PickSheet, times: int) -> dict[str, list[float]]:
    """The paper as it is asked for, and the library alone on what it was given.

    Raises
    ------
    NoEngine
        If the library's own libraries are missing.
    """
    address = reverse("pick-sheet-pdf", args=[sheet.pk])
    engine = pdf_engine()
    if engine is None:
        raise NoEngine
    with caught_page(engine) as given:
        browser.get(address)
    args, named = given[-1]
    found: dict[str, list[float]] = {"ours": [], "alone": []}
    for _time in range(times):
        started = time.process_time()
        browser.get(address)
        between = time.process_time()
        engine.HTML(*args, **named).write_pdf()
        found["ours"].append(between - started)
        found["alone"].append(time.process_time() - between)
    return found


@contextmanager
def caught_page(engine: Any) -> Iterator[list[tuple[tuple[Any, ...], dict[str, Any]]]]:  # the library ships no types
    """What the library is given, while it lasts."""
    real, given = engine.HTML, []

    def note(*args: Any, **named: Any) -> Any:
        given.append((args, named))
        return real(*args, **named)

    engine.HTML = note
    try:
        yield given
    finally:
        engine.HTML = real
