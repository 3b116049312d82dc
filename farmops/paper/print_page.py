"""A paper as PDF, or as a page to print from the screen: asked for, or because PDF cannot be made here."""

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from farmops.farm.days import the_farm
from farmops.farm.models import Farm
from farmops.paper.legible import legible
from farmops.paper.pdf import how_to_install, pdf_engine, to_pdf


def print_page(
    request: HttpRequest,
    template: str,
    context: Mapping[str, object],
    *,
    kind: str,
    name: str,
    is_a4: bool | None = None,
) -> HttpResponse:
    """Answer with a paper.

    Parameters
    ----------
    request : HttpRequest
    template : str
        One that extends `paper/paper.html`.
    context : mapping
    kind : "pdf" or "page"
    name : str
        Of the file, without its ending.
    is_a4 : bool, optional
        The farm's own paper unless something else was asked for.
    """
    farm = the_farm()
    if is_a4 is None:
        is_a4 = farm is not None and farm.paper == Farm.Paper.A4
    context = {"farm": farm, **context, "is_a4": is_a4, "how_to_install": how_to_install()}
    if kind != "pdf" or pdf_engine() is None:
        return render(request, template, {**context, "for_screen": True, "no_pdf": kind == "pdf"})
    missing = legible(render_to_string(template, context))[1]
    pdf = to_pdf(render_to_string(template, {**context, "missing": missing}))
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
