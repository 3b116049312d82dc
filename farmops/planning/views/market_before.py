"""A market day before it is held: what to bring, what there is for it, my own numbers, and loading."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from farmops import clock
from farmops.farm.days import farm_today
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.planning.market_before import before_page, work_out_before
from farmops.planning.market_before_deeds import BeforeForm, before_deed
from farmops.planning.stored_answers import BeingWorkedOut
from farmops.selling.line_troubles import Troubles
from farmops.selling.models import MarketDay


@require_http_methods(["GET", "POST"])
def market_day(request: HttpRequest, day: int) -> HttpResponse:
    one = get_object_or_404(MarketDay.objects.select_related("outlet"), pk=day)
    today = farm_today()
    typed = request.POST if request.method == "POST" else None
    form = BeforeForm(typed)
    troubles = Troubles()
    saying = saying_of(request, day=min(today, one.held_on))
    return answer_job(
        request,
        form,
        troubles.noting(lambda: before_deed(saying, one, request.POST, form)),
        page="planning/market_before.html",
        partial="planning/_market_before.html",
        context={
            "page": before_page(one, today, typed, troubles),
            "market_day": one,
            "pressed": form.data.get("what", ""),
        },
        then=reverse("market-day", args=[one.pk]),
    )


@require_POST
def market_advice(request: HttpRequest, day: int) -> HttpResponse:
    """Work out what to bring; nothing of the farm's records is changed by it."""
    one = get_object_or_404(MarketDay.objects.select_related("outlet"), pk=day)
    try:
        work_out_before(one, farm_today(), clock.now())
    except BeingWorkedOut:
        messages.warning(request, _("It is being worked out at the moment. Look again in a few seconds."))
    return HttpResponseRedirect(reverse("market-day", args=[one.pk]), status=303)
