"""Clearing: one press for all of a planting, or for what stands in one space."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.chosen_spaces import places_of_stand
from farmops.growing.clear import clear_planting
from farmops.growing.forms import ClearForm
from farmops.growing.ground_now import balance_now
from farmops.growing.models import Planting, Stay
from farmops.journal.deed import Done


@require_http_methods(["GET", "POST"])
def clear(request: HttpRequest, code: str) -> HttpResponse:
    planting = get_object_or_404(Planting.objects.select_related("variety"), code__iexact=code)
    balance = SimpleLazyObject(lambda: balance_now(planting, clock.today()))
    stands = SimpleLazyObject(lambda: places_of_stand(balance.here))
    typed = request.POST if request.method == "POST" else None
    form = ClearForm(typed, initial={"next": request.GET.get("next", "")})
    return answer_job(
        request,
        form,
        lambda: _cleared(request, planting, form),
        page="growing/clear.html",
        partial="growing/_clear.html",
        context={"planting": planting, "balance": balance, "stands": stands},
        then=reverse("spaces"),
    )


def _cleared(request: HttpRequest, planting: Planting, form: ClearForm) -> Done:
    key = form.cleaned_data["stay"]
    stay = get_object_or_404(Stay.objects.select_related("space"), pk=key, planting=planting) if key else None
    return clear_planting(saying=saying_of(request, day=form.cleaned_data["day"]), planting=planting, stay=stay)
