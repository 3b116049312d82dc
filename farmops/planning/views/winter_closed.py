"""Closed days of the farm and of each outlet: noted, and opened again."""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from farmops.farm.days import farm_today
from farmops.farm.forms import JobForm, new_key
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.journal.deed import Done
from farmops.people.access import with_password
from farmops.planning.winter_closed import FARM, OUTLET, close_days, closed_lines, open_again
from farmops.planning.winter_forms import ClosedDaysForm


@require_http_methods(["GET", "POST"])
@with_password
def closed_days(request: HttpRequest) -> HttpResponse:
    form = ClosedDaysForm(request.POST if request.method == "POST" else None, initial=request.GET.dict())

    def close() -> Done:
        typed = form.cleaned_data
        facts = {"outlet": typed["outlet"], "first_on": typed["first_on"], "reason": typed["reason"]}
        return close_days(saying=saying_of(request), last_on=typed["last_on"] or typed["first_on"], **facts)

    return _answer(request, form, close)


@require_POST
@with_password
def opened(request: HttpRequest, kind: str, number: int) -> HttpResponse:
    if kind not in {FARM, OUTLET}:
        raise Http404(kind)
    form = JobForm(request.POST)
    return _answer(request, form, lambda: open_again(saying=saying_of(request), kind=kind, number=number))


def _answer(request: HttpRequest, form: JobForm, deed: Callable[[], Done]) -> HttpResponse:
    context: dict[str, object] = {"lines": closed_lines(farm_today()), "page_key": new_key()}
    if not isinstance(form, ClosedDaysForm):
        context["closing"] = ClosedDaysForm()
    return answer_job(
        request,
        form,
        deed,
        page="planning/winter_closed.html",
        partial="planning/_winter_closed.html",
        context=context,
        then=reverse("closed-days"),
    )
