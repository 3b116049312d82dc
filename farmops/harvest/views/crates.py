"""Kinds of crates and what they weigh empty."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from farmops.core.quantities import from_nanograms
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.natural_order import natural_key
from farmops.harvest.amounts_shown import plain, with_unit
from farmops.harvest.cold_room import mass_unit
from farmops.harvest.forms import CrateForm
from farmops.harvest.models import CrateKind
from farmops.harvest.set_crate import set_crate


@require_http_methods(["GET", "POST"])
def crates(request: HttpRequest) -> HttpResponse:
    """All kinds; or, with `?kind=`, one of them to be given another name or weight."""
    unit = mass_unit()
    asked = request.GET.get("kind", "")
    kind = get_object_or_404(CrateKind, pk=asked) if asked.isdecimal() and len(asked) < 19 else None
    initial = {"name": kind.name, "tare": plain(from_nanograms(kind.tare_ng, unit))} if kind else {}
    form = CrateForm(request.POST if request.method == "POST" else None, initial={"unit": unit, **initial})
    kinds = sorted(CrateKind.objects.all(), key=lambda one: natural_key(one.name))
    return answer_job(
        request,
        form,
        lambda: set_crate(saying=saying_of(request), kind=kind, **form.typed, yes=form.answered),
        page="harvest/crates.html",
        partial="harvest/_crates.html",
        context={"kinds": [(one, with_unit(one.tare_ng, unit, 3)) for one in kinds], "kind": kind},
        then=reverse("crates"),
    )
