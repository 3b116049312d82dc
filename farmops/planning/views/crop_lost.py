"""If a planting were lost."""

from datetime import timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.growing.models import Planting
from farmops.planning.crop_lost import LOOK_BACK, crop_lost
from farmops.planning.from_tables import with_what_is_sold
from farmops.planning.standing_now import standing_now
from farmops.web.pages import render_page


@require_GET
def lost(request: HttpRequest, code: str) -> HttpResponse:
    planting = get_object_or_404(Planting.objects.select_related("variety"), code__iexact=code)
    today = clock.today()
    try:
        standing = standing_now(today)
        rows = with_what_is_sold(standing.rows, today - timedelta(days=LOOK_BACK), planting.variety.name)
        answer = crop_lost(rows, standing.growing, planting.code, today)
    except KeyError as error:
        raise Http404(code) from error
    parts = -(-answer.plants // planting.variety.part_plants)
    context = {"planting": planting, "lost": answer, "parts": parts}
    return render_page(request, "planning/crop_lost.html", context, partial="planning/_crop_lost.html")
