"""The pick list on paper: a version as it was made, or only what changed since an older one."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_POST

from farmops import clock
from farmops.harvest.models import PickSheet
from farmops.harvest.pick_sheets import note_printed
from farmops.paper.print_page import print_page
from farmops.planning.sheet_page import page_of


@require_POST
def printed(request: HttpRequest, number: int) -> HttpResponse:
    """Note that this version went to paper, and show the paper."""
    note_printed(get_object_or_404(PickSheet, pk=number), clock.now())
    return HttpResponseRedirect(reverse("pick-sheet-pdf", args=[number]), status=303)


@require_GET
def paper(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    return _answer(request, get_object_or_404(PickSheet, pk=number), None, kind)


@require_GET
def changes(request: HttpRequest, number: int, since: int) -> HttpResponse:
    sheet = get_object_or_404(PickSheet, pk=number)
    older = get_object_or_404(PickSheet, pick_on=sheet.pick_on, version=since)
    return _answer(request, sheet, older, "pdf")


def _answer(request: HttpRequest, sheet: PickSheet, older: PickSheet | None, kind: str) -> HttpResponse:
    name = slugify(f"pick list {sheet.pick_on} version {sheet.version} {'changes' if older else ''}")
    return print_page(request, "paper/pick_sheet.html", {"page": page_of(sheet, older)}, kind=kind, name=name)
