"""Sowing: what was planned at one press, or something new."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.forms import SowForm
from farmops.growing.models import Planting, Variety
from farmops.growing.note_sowing import note_sowing
from farmops.growing.sow_page import sow_page, varieties_in_order
from farmops.web.pages import render_page

LONGEST_NUMBER = 18  # digits of a key that a table can hold


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    key = request.GET.get("variety", "")
    if not (key.isdecimal() and len(key) <= LONGEST_NUMBER):
        context = {"varieties": varieties_in_order(), "next": request.GET.get("next", "")}
        return render_page(request, "growing/choose_variety.html", context, partial="growing/_choose_variety.html")
    variety = get_object_or_404(Variety, pk=int(key))
    return _answer(request, variety, None, f"{reverse('sow')}?variety={variety.pk}")


@require_http_methods(["GET", "POST"])
def planned(request: HttpRequest, code: str) -> HttpResponse:
    rows = Planting.objects.select_related("variety", "seed_lot")
    planting = get_object_or_404(rows, code__iexact=code)
    return _answer(request, planting.variety, planting, reverse("sow-planned", args=[planting.code]))


def _answer(request: HttpRequest, variety: Variety, planting: Planting | None, address: str) -> HttpResponse:
    today = clock.today()
    asked = (request.POST if request.method == "POST" else request.GET).dict()
    form = SowForm(
        request.POST if request.method == "POST" else None,
        initial={"next": request.GET.get("next", ""), "parts": request.GET.get("parts", "")},
    )
    return answer_job(
        request,
        form,
        lambda: note_sowing(saying_of(request, day=form.cleaned_data["day"]), variety, planting, form),
        page="growing/sow.html",
        partial="growing/_sow.html",
        context={"page": SimpleLazyObject(lambda: sow_page(variety, planting, asked, today)), "address": address},
        then=reverse("sow"),
    )
