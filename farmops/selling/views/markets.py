"""The list of markets, and putting a day on it."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from farmops.farm.days import farm_today
from farmops.farm.forms import new_key
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.selling.forms import PlanForm
from farmops.selling.market_list import market_list
from farmops.selling.plan_market_day import plan_market_day


@require_http_methods(["GET", "POST"])
def markets(request: HttpRequest) -> HttpResponse:
    form = PlanForm(request.POST if request.method == "POST" else None)
    return answer_job(
        request,
        form,
        lambda: plan_market_day(
            saying=saying_of(request), outlet=form.cleaned_data["outlet"], held_on=form.cleaned_data["held_on"]
        ),
        page="selling/markets.html",
        partial="selling/_markets.html",
        context={"list": market_list(farm_today()), "page_key": new_key()},
        then=reverse("markets"),
    )
