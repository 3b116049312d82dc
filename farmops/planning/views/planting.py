"""One planting: where its plants are, when they are ready and why, what they gave and will give."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.growing.models import Planting
from farmops.planning.planting_page import planting_page
from farmops.planning.plantings_list import plantings_list
from farmops.planning.views.life import life_of
from farmops.waiting.waits_for import lines_now
from farmops.web.charts import life_chart
from farmops.web.pages import render_page


@require_GET
def planting(request: HttpRequest, code: str) -> HttpResponse:
    named = Planting.objects.select_related("variety", "schedule", "seed_lot")
    page = planting_page(get_object_or_404(named, code__iexact=code), clock.today())
    waits = lines_now(page.planting, clock.now())
    context = {"page": page, "life": life_chart(life_of(page)), "waits": waits}
    return render_page(request, "planning/planting.html", context, partial="planning/_planting.html")


@require_GET
def plantings(request: HttpRequest) -> HttpResponse:
    rows = plantings_list(clock.today(), request.GET.get("of", ""))
    context = {"rows": rows, "of": request.GET.get("of", ""), "today": clock.today()}
    return render_page(request, "planning/plantings.html", context, partial="planning/_plantings.html")
