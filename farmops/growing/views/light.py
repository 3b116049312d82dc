"""Shade and lamps over a kind of space."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.forms import LightForm
from farmops.growing.models import SpaceKind
from farmops.growing.set_light import set_light
from farmops.people.access import with_password


@require_http_methods(["GET", "POST"])
@with_password
def light(request: HttpRequest, kind: int) -> HttpResponse:
    row = get_object_or_404(SpaceKind, pk=kind)
    known = {"shade": row.shade_by_date, "lamp_hours": row.lamp_hours_by_date, "lamp_light": row.lamp_light}
    form = LightForm(request.POST if request.method == "POST" else None, initial=known)
    names = ("shade", "lamp_hours", "lamp_light")
    return answer_job(
        request,
        form,
        lambda: set_light(saying=saying_of(request), kind=row, **{name: form.cleaned_data[name] for name in names}),
        page="growing/light.html",
        partial="growing/_light.html",
        context={"kind": row},
        then=reverse("spaces"),
    )
