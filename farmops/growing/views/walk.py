"""Walking past: as planned, about so much ready, days late, finished."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.farm.typed_amount import amount_of
from farmops.farm.unit_words import unit_of_many
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.balance import balance_of
from farmops.growing.chosen_spaces import places_of_stand
from farmops.growing.forms import WalkForm
from farmops.growing.ground_now import remembered
from farmops.growing.models import Planting
from farmops.growing.walk_past import LastSeen, Seen, last_seen, unit_of, walk_past
from farmops.journal.refusal import Refused


@require_http_methods(["GET", "POST"])
def walk(request: HttpRequest, code: str) -> HttpResponse:
    planting = get_object_or_404(Planting.objects.select_related("variety"), code__iexact=code)
    form = WalkForm(
        request.POST if request.method == "POST" else None,
        initial={"next": request.GET.get("next", ""), "figure": request.GET.get("figure", "")},
    )
    return answer_job(
        request,
        form,
        lambda: walk_past(saying=saying_of(request, day=form.cleaned_data["day"]), planting=planting, seen=_seen(form)),
        page="growing/walk.html",
        partial="growing/_walk.html",
        context={"planting": planting, "page": SimpleLazyObject(lambda: walk_page(planting, clock.today()))},
        then=reverse("spaces"),
    )


def _seen(form: WalkForm) -> Seen:
    """Figures in both boxes count both; of days alone a button says whether they are late or early."""
    typed = form.cleaned_data
    seen, _space, few_days = typed["seen"].partition(" ")
    if typed["seen"] in {"as planned", "finished"}:
        return Seen(is_as_planned=seen != "finished", is_finished=seen == "finished")
    ready = _figure(form, "figure") if seen == "ready" or typed["figure"].strip() else None
    if seen == "ready":
        if typed["days"].strip():
            raise Refused(_("Days are typed too. Press “days late” or “days early”; what is ready counts as well."))
        return Seen(ready=ready)
    days = Decimal(few_days) if few_days else _figure(form, "days")
    return Seen(ready=ready, days_late=-days if seen == "early" else days)


def _figure(form: WalkForm, box: str) -> Decimal:
    return amount_of(form.cleaned_data[box], field=box, yes=form.answered, may_be_zero=True).amount or Decimal(0)


@dataclass(frozen=True, slots=True)
class WalkPage:
    """Where to look, what is counted there, and what was seen the last time."""

    stands: Sequence[str]
    unit: str
    last: LastSeen | None


def walk_page(planting: Planting, today: date) -> WalkPage:
    """Read once after each entry."""

    def read() -> WalkPage:
        unit = unit_of(planting)
        seen = last_seen(planting, today, unit)
        return WalkPage(places_of_stand(balance_of(planting).here), unit_of_many(unit), seen)

    return remembered(f"walk past {planting.pk}", today, read)
