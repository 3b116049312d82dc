"""Noting what was cut, and putting an earlier note right."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.models import Planting
from farmops.planning.correct_pick import correction_of, picks_with
from farmops.planning.cut_from import note_pick
from farmops.planning.pick_page import pick_page


@require_http_methods(["GET", "POST"])
def pick(request: HttpRequest, code: str) -> HttpResponse:
    planting = get_object_or_404(Planting.objects.select_related("variety", "schedule"), code__iexact=code)
    today = clock.today()
    page = pick_page(planting, request.GET.dict(), clock.now())
    form = page.form(request.POST if request.method == "POST" else None, next=request.GET.get("next", ""))
    return answer_job(
        request,
        form,
        lambda: note_pick(saying_of(request, day=form.cleaned_data["day"] or today), planting, form),
        page="planning/pick.html",
        partial="planning/_pick.html",
        context={"page": page, "address": reverse("pick-crop", args=[planting.code])},
        then=reverse("due-now"),
    )


@require_http_methods(["GET", "POST"])
def correct(request: HttpRequest, number: int) -> HttpResponse:
    picks = {pick.pk: pick for pick in picks_with(number)}
    if not picks:
        raise Http404(number)
    old = picks[number]
    planting, page, as_typed = correction_of(old, [*picks.values()], request.POST.get("planting", ""), clock.now())
    typed = request.POST if request.method == "POST" else None
    form = page.form(typed, next=request.GET.get("next", ""), **as_typed)
    return answer_job(
        request,
        form,
        lambda: note_pick(
            saying_of(request, day=form.cleaned_data["day"] or old.picked_on, corrects=old.entry), planting, form
        ),
        page="planning/pick.html",
        partial="planning/_pick.html",
        context={"page": page, "old": old, "address": reverse("correct-pick", args=[old.pk])},
        then=reverse("due-now"),
    )
