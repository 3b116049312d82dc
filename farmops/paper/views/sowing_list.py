"""The sowing list on paper for the bench: big figures, and blanks for what is really sown."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.paper.print_page import print_page
from farmops.planning.views.sowing_list import known_list


@require_GET
def paper(request: HttpRequest, kind: str) -> HttpResponse:
    shown = known_list()
    if shown is None:
        return HttpResponseRedirect(reverse("sowing-list"))
    context = {"list": shown, "now": clock.now()}
    return print_page(request, "paper/sowing_list.html", context, kind=kind, name=f"sow-{shown.monday:%Y-%m-%d}")
