"""The sowing list on paper for the bench: big figures, and blanks for what is really sown."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.paper.print_page import print_page
from farmops.planning.sowing_list import KIND
from farmops.planning.stored_answers import stored
from farmops.planning.views.bench_lines import bench_paper


@require_GET
def paper(request: HttpRequest, kind: str) -> HttpResponse:
    kept = stored(KIND)
    if kept is None:
        return HttpResponseRedirect(reverse("sowing-list"))
    shown = bench_paper(kept, clock.today())
    context = {"list": shown, "now": clock.now()}
    return print_page(request, "paper/sowing_list.html", context, kind=kind, name=f"sow-{shown.monday:%Y-%m-%d}")
