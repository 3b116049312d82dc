"""The sowing list on paper for the bench: big figures, and blanks for what is really sown."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.farm.models import Farm
from farmops.paper.legible import legible
from farmops.paper.pdf import how_to_install, pdf_engine, to_pdf
from farmops.planning.views.sowing_list import known_list

PAGE = "paper/sowing_list.html"


@require_GET
def paper(request: HttpRequest, kind: str) -> HttpResponse:
    shown, farm = known_list(), Farm.objects.first()
    if shown is None:
        return HttpResponseRedirect(reverse("sowing-list"))
    context = {
        "list": shown,
        "now": clock.now(),
        "farm": farm,
        "is_a4": farm is not None and farm.paper == Farm.Paper.A4,
        "how_to_install": how_to_install(),
    }
    if kind != "pdf" or pdf_engine() is None:
        return render(request, PAGE, {**context, "for_screen": True, "no_pdf": kind == "pdf"})
    missing = legible(render_to_string(PAGE, context))[1]
    pdf = to_pdf(render_to_string(PAGE, {**context, "missing": missing}))
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="sow-{shown.monday:%Y-%m-%d}.pdf"'
    return response
