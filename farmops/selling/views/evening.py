"""The evening: what came back."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from farmops.farm.forms import JobForm
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.people.access import asker_of
from farmops.selling.evening_page import PLACES, evening_done, evening_page
from farmops.selling.line_troubles import Troubles
from farmops.selling.models import MarketDay


@require_http_methods(["GET", "POST"])
def evening(request: HttpRequest, day: int) -> HttpResponse:
    market_day = get_object_or_404(MarketDay.objects.select_related("outlet", "closed_entry__by"), pk=day)
    typed = request.POST if request.method == "POST" else None
    form = JobForm(typed)
    saying = saying_of(request, day=market_day.held_on)
    how = {"rest_none": "rest" in request.POST, "closes": "close" in request.POST}
    asker, troubles = asker_of(request), Troubles()
    context = {
        "page": evening_page(market_day, typed, troubles),
        "market_day": market_day,
        "places": PLACES,
        "pressed": how,
        "from_memory": request.POST.get("from_memory"),
        "shows_money": asker.has_password and asker.may_see_money,
    }
    return answer_job(
        request,
        form,
        troubles.noting(lambda: evening_done(saying, market_day, request.POST, form.answered, **how)),
        page="selling/evening.html",
        partial="selling/_evening.html",
        context=context,
        then=reverse("evening", args=[market_day.pk]),
    )
