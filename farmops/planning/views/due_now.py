"""The first screen: what is to do now."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.planning.due_now import due_now
from farmops.web.pages import render_page


@require_GET
def due(request: HttpRequest) -> HttpResponse:
    return render_page(
        request, "planning/due_now.html", {"due": due_now(clock.today())}, partial="planning/_due_now.html"
    )
