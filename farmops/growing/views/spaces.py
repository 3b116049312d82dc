"""Spaces: all of them on one list, each with its page, and plans for what is to stand where."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_GET, require_http_methods

from farmops import clock
from farmops.farm.forms import JobForm
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.chosen_spaces import space_named
from farmops.growing.forms import PlanStayForm
from farmops.growing.ground_now import key_now
from farmops.growing.models import Planting, Space, Stay
from farmops.growing.plan_stay import drop_plan, plan_stay
from farmops.growing.plan_stay_page import plan_stay_page
from farmops.growing.space_pages import space_page, spaces_list, spaces_not_used
from farmops.journal.deed import Done
from farmops.web.pages import render_page


@require_GET
def spaces(request: HttpRequest) -> HttpResponse:
    today = clock.today()
    key = key_now(today)
    kinds, clashes = spaces_list(today, key=key)
    context = {"kinds": kinds, "clashes": clashes, "not_used": spaces_not_used(today, kinds, key)}
    return render_page(request, "growing/spaces.html", context, partial="growing/_spaces.html")


@require_GET
def space(request: HttpRequest, name: str) -> HttpResponse:
    row = get_object_or_404(Space.objects.select_related("kind"), name__iexact=name)
    context = {"space": row, "page": space_page(row, clock.today())}
    return render_page(request, "growing/space.html", context, partial="growing/_space.html")


@require_http_methods(["GET", "POST"])
def drop(request: HttpRequest, stay: int) -> HttpResponse:
    row = get_object_or_404(Stay.objects.select_related("planting__variety", "space"), pk=stay, state="planned")
    typed = request.POST if request.method == "POST" else None
    return answer_job(
        request,
        JobForm(typed, initial={"next": request.GET.get("next", "")}),
        lambda: drop_plan(saying=saying_of(request), stay=row),
        page="growing/drop_plan.html",
        partial="growing/_drop_plan.html",
        context={"stay": row},
        then=reverse("space", args=[row.space.name]),
    )


@require_http_methods(["GET", "POST"])
def plan(request: HttpRequest, code: str) -> HttpResponse:
    planting = get_object_or_404(Planting.objects.select_related("variety"), code__iexact=code)
    asked = {name: request.GET.get(name, "") for name in ("next", "plants", "to_space", "day")}
    form = PlanStayForm(request.POST if request.method == "POST" else None, initial=asked)
    return answer_job(
        request,
        form,
        lambda: _planned(request, planting, form),
        page="growing/plan_stay.html",
        partial="growing/_plan_stay.html",
        context={"page": SimpleLazyObject(lambda: plan_stay_page(planting, clock.today()))},
        then=reverse("spaces"),
    )


def _planned(request: HttpRequest, planting: Planting, form: PlanStayForm) -> Done:
    typed = form.cleaned_data
    return plan_stay(
        saying=saying_of(request),
        planting=planting,
        space=space_named(typed["to_space"]),
        plants=form.plants_typed(),
        from_on=typed["day"] or clock.today(),
        to_on=typed["to_day"],
    )
