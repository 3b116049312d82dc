"""The pick list on paper: a version as it was made, or only what changed since an older one."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_POST

from farmops import clock
from farmops.farm.models import Farm
from farmops.harvest.models import PickSheet
from farmops.harvest.pick_sheets import note_printed
from farmops.paper.legible import legible
from farmops.paper.pdf import how_to_install, pdf_engine, to_pdf
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
    farm = Farm.objects.first()
    context = {
        "page": page_of(sheet, older),
        "farm": farm,
        "is_a4": farm is not None and farm.paper == Farm.Paper.A4,
        "how_to_install": how_to_install(),
    }
    if kind != "pdf" or pdf_engine() is None:
        context |= {"for_screen": True, "no_pdf": kind == "pdf"}
        return render(request, "paper/pick_sheet.html", context)
    missing = legible(render_to_string("paper/pick_sheet.html", context))[1]
    response = HttpResponse(
        to_pdf(render_to_string("paper/pick_sheet.html", {**context, "missing": missing})),
        content_type="application/pdf",
    )
    name = slugify(f"pick list {sheet.pick_on} version {sheet.version} {'changes' if older else ''}")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
