"""At the stall: one page that is loaded once, and a press for whatever happens."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from farmops.farm.days import farm_today
from farmops.farm.forms import new_key
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.selling.forms import StallForm
from farmops.selling.models import MarketDay
from farmops.selling.stall_page import stall_page
from farmops.selling.stall_press import press


@require_http_methods(["GET", "POST"])
def stall(request: HttpRequest, day: int) -> HttpResponse:
    market_day = get_object_or_404(MarketDay.objects.select_related("outlet"), pk=day)
    form = StallForm(request.POST if request.method == "POST" else None)
    today, page = farm_today(), stall_page(market_day)
    about = min(today, market_day.held_on)
    return answer_job(
        request,
        form,
        lambda: press(saying_of(request, day=about), market_day, form.press()),
        page="selling/stall.html",
        partial="selling/_stall.html",
        context={
            "page": page,
            "item_name": page.name_of(request.POST.get("line", "")),
            "market_day": market_day,
            "is_today": market_day.held_on == today,
            "page_key": new_key(),
        },
        then=reverse("stall", args=[market_day.pk]),
    )
