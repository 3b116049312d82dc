"""If a planting were lost."""

from datetime import date, timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.growing.ground_now import key_now, remembered
from farmops.growing.models import Planting
from farmops.planning.crop_lost import LOOK_BACK, CropLost, crop_lost
from farmops.planning.from_tables import with_what_is_sold
from farmops.planning.standing_now import standing_now
from farmops.web.pages import render_page


@require_GET
def lost(request: HttpRequest, code: str) -> HttpResponse:
    planting = get_object_or_404(Planting.objects.select_related("variety"), code__iexact=code)
    try:
        answer = if_lost(planting, clock.today())
    except KeyError as error:
        raise Http404(code) from error
    parts = -(-answer.plants // planting.variety.part_plants)
    context = {"planting": planting, "lost": answer, "parts": parts}
    return render_page(request, "planning/crop_lost.html", context, partial="planning/_crop_lost.html")


def if_lost(planting: Planting, today: date) -> CropLost:
    """The answer, worked out once after each entry. Raises KeyError if it does not stand."""
    key = key_now(today)

    def work() -> CropLost:
        standing = standing_now(today, key)
        rows = with_what_is_sold(standing.rows, today - timedelta(days=LOOK_BACK), planting.variety.name)
        return crop_lost(rows, standing.growing, planting.code, today)

    return remembered(f"{planting.pk} lost", today, work, key=key)
