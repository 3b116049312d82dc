"""Setting up varieties: all of them, one, a new one, and versions of a schedule."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from farmops.farm.days import farm_today
from farmops.farm.views.job_page import saying_of
from farmops.farm.views.set_page import answer_set
from farmops.growing.models import Variety
from farmops.growing.set_variety import add_variety, change_variety, typed_of
from farmops.growing.variety_forms import VarietyFactsForm, VarietyForm
from farmops.growing.variety_pages import known_words, varieties_list, versions_of_variety
from farmops.people.access import with_password
from farmops.web.pages import render_page


@require_GET
@with_password
def varieties(request: HttpRequest) -> HttpResponse:
    context = {"lines": varieties_list(farm_today())}
    return render_page(request, "growing/varieties.html", context, partial="growing/_varieties.html")


@require_GET
@with_password
def variety(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(Variety, pk=number)
    cost = row.part_cost_cents / 100
    context = {"variety": row, "cost": cost, "versions": versions_of_variety(row, farm_today())}
    return render_page(request, "growing/variety.html", context, partial="growing/_variety.html")


@require_http_methods(["GET", "POST"])
@with_password
def new_variety(request: HttpRequest) -> HttpResponse:
    form = VarietyForm(request.POST if request.method == "POST" else None)
    return answer_set(
        request,
        form,
        lambda: add_variety(saying=saying_of(request), name=form.cleaned_data["name"], **form.facts),
        title=_("A new variety"),
        button=_("Add it"),
        back=reverse("varieties"),
        context={"suggested": _suggested()},
    )


@require_http_methods(["GET", "POST"])
@with_password
def change(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(Variety, pk=number)
    form = VarietyFactsForm(request.POST if request.method == "POST" else None, initial=typed_of(row))
    return answer_set(
        request,
        form,
        lambda: change_variety(saying=saying_of(request), variety=row, **form.facts),
        title=row.name,
        button=_("Save"),
        back=reverse("variety", args=[row.pk]),
        context={"suggested": _suggested()},
    )


def _suggested() -> list[dict[str, object]]:
    return [
        {"id": "crops", "names": known_words("crop")},
        {"id": "categories", "names": known_words("category")},
        {"id": "parts", "names": known_words("part") or [_("tray"), _("half tray"), _("bed foot")]},
    ]
