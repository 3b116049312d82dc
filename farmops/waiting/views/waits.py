"""Do not cut before a day and hour; and lifting that again."""

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.farm.days import farm_zone
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.ground_now import remembered
from farmops.growing.models import Planting, Stay
from farmops.growing.natural_order import walking_key
from farmops.journal.deed import Done
from farmops.waiting.do_not_cut import do_not_cut, said_of
from farmops.waiting.forms import DoNotCutForm, LiftForm
from farmops.waiting.lift_wait import lift_wait
from farmops.waiting.models import DoNotCut
from farmops.waiting.waits_for import lines_now


@require_http_methods(["GET", "POST"])
def wait(request: HttpRequest, code: str) -> HttpResponse:
    planting = get_object_or_404(Planting.objects.select_related("variety"), code__iexact=code)
    asked = {name: request.GET.get(name, "") for name in ("next", "stay", "reason")}
    asked["before_day"] = (clock.today() + timedelta(days=1)).isoformat()
    form = DoNotCutForm(request.POST if request.method == "POST" else None, initial=asked)
    return answer_job(
        request,
        form,
        lambda: _noted(request, planting, form),
        page="waiting/do_not_cut.html",
        partial="waiting/_do_not_cut.html",
        context={
            "planting": planting,
            "here": SimpleLazyObject(lambda: stays_of(planting)),
            "waits": SimpleLazyObject(lambda: lines_now(planting, clock.now())),
        },
        then=reverse("do-not-cut", args=[planting.code]),
    )


@require_http_methods(["GET", "POST"])
def lift(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(DoNotCut.objects.select_related("planting__variety", "stay__space", "entry__by"), pk=number)
    form = LiftForm(request.POST if request.method == "POST" else None, initial={"next": request.GET.get("next", "")})
    return answer_job(
        request,
        form,
        lambda: lift_wait(saying=saying_of(request), wait=row, reason=form.cleaned_data["reason"]),
        page="waiting/lift_wait.html",
        partial="waiting/_lift_wait.html",
        context={"wait": row, "words": said_of(row, farm_zone())},
        then=reverse("do-not-cut", args=[row.planting.code]),
    )


def stays_of(planting: Planting) -> list[Stay]:
    """Where it stands, in walking order."""

    def read() -> list[Stay]:
        rows = Stay.objects.live().filter(planting=planting, state=Stay.State.DONE, is_over=False)
        return sorted(rows.select_related("space__kind"), key=lambda stay: (walking_key(stay.space), stay.pk))

    return remembered(f"stays of {planting.pk}", clock.today(), read)


def _noted(request: HttpRequest, planting: Planting, form: DoNotCutForm) -> Done:
    typed = form.cleaned_data
    key = typed["stay"]
    stay = get_object_or_404(Stay.objects.select_related("space"), pk=key, planting=planting) if key else None
    return do_not_cut(
        saying=saying_of(request),
        planting=planting,
        reason=typed["reason"],
        stay=stay,
        before_day=typed["before_day"],
        before_minute=form.minute,
    )
