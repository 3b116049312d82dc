"""One door for every screen: the whole page, or its fragment where htmx asked for one."""

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.cache import patch_vary_headers


def wants_fragment(request: HttpRequest) -> bool:
    """Whether htmx asks for a part of the page; boosted links and restored history get the whole one."""
    headers = request.headers
    return (
        headers.get("HX-Request") == "true"
        and headers.get("HX-Boosted") != "true"
        and headers.get("HX-History-Restore-Request") != "true"
    )


def render_page(
    request: HttpRequest, page: str, context: Mapping[str, object], *, partial: str, status: int = 200
) -> HttpResponse:
    """Answer with `page`, or with its fragment `partial` and any messages out of band."""
    values = dict(context)
    if wants_fragment(request):
        html = render_to_string(partial, values, request)
        if messages.get_messages(request):
            html += render_to_string("web/_messages.html", {**values, "out_of_band": True}, request)
    else:
        html = render_to_string(page, values, request)
    response = HttpResponse(html, status=status)
    patch_vary_headers(response, ["HX-Request", "HX-Boosted", "HX-History-Restore-Request"])
    return response
