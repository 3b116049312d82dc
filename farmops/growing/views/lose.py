"""Lost plants: a number, and save."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.forms import LoseForm
from farmops.growing.ground_now import balance_now
from farmops.growing.lose_plants import lose_plants
from farmops.growing.models import Leaving, Stay


@require_http_methods(["GET", "POST"])
def lose(request: HttpRequest, stay: int) -> HttpResponse:
    row = get_object_or_404(Stay.objects.select_related("planting__variety", "space"), pk=stay)
    typed = request.POST if request.method == "POST" else None
    form = LoseForm(typed, initial={"next": request.GET.get("next", ""), "plants": request.GET.get("plants", "")})
    return answer_job(
        request,
        form,
        lambda: lose_plants(
            saying=saying_of(request, day=form.cleaned_data["day"]),
            stay=row,
            plants=form.plants_typed(),
            cause=form.cleaned_data["cause"],
        ),
        page="growing/lose.html",
        partial="growing/_lose.html",
        context={"stay": row, "page": SimpleLazyObject(lambda: lose_page(row))},
        then=reverse("space", args=[row.space.name]),
    )


@dataclass(frozen=True, slots=True)
class LosePage:
    """How many stand there, and what lately was the cause of losses."""

    here: int
    causes: Sequence[str]


def lose_page(stay: Stay) -> LosePage:
    rows = Leaving.objects.live().filter(how=Leaving.How.LOST).exclude(cause="").order_by("-pk")
    lately = dict.fromkeys(rows.values_list("cause", flat=True)[:60])
    return LosePage(balance_now(stay.planting, clock.today()).plants_in(stay), list(lately)[:8])
