"""Setting up seed lots: all of them, a new one, one counted or tested anew."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from farmops.farm.views.job_page import saying_of
from farmops.farm.views.set_page import answer_set
from farmops.growing.models import SeedLot
from farmops.growing.natural_order import natural_key
from farmops.growing.seed_lot_forms import SeedLotFactsForm, SeedLotForm, typed_of
from farmops.growing.set_seed_lot import add_seed_lot, change_seed_lot
from farmops.people.access import with_password
from farmops.web.pages import render_page


@require_GET
@with_password
def seed_lots(request: HttpRequest) -> HttpResponse:
    lots = sorted(SeedLot.objects.select_related("variety"), key=_in_order)
    return render_page(request, "growing/seed_lots.html", {"lots": lots}, partial="growing/_seed_lots.html")


@require_http_methods(["GET", "POST"])
@with_password
def new_seed_lot(request: HttpRequest) -> HttpResponse:
    form = SeedLotForm(request.POST if request.method == "POST" else None)
    return answer_set(
        request,
        form,
        lambda: add_seed_lot(saying=saying_of(request), **form.facts),
        title=_("Seed that came"),
        button=_("Add it"),
        back=reverse("seed-lots"),
    )


@require_http_methods(["GET", "POST"])
@with_password
def seed_lot(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(SeedLot.objects.select_related("variety"), pk=number)
    form = SeedLotFactsForm(request.POST if request.method == "POST" else None, initial=typed_of(row))
    return answer_set(
        request,
        form,
        lambda: change_seed_lot(saying=saying_of(request), seed_lot=row, **form.facts),
        title=_("Seed lot %(name)s, %(variety)s") % {"name": row.name, "variety": row.variety.name},
        button=_("Save"),
        back=reverse("seed-lots"),
    )


def _in_order(lot: SeedLot) -> tuple[object, ...]:
    return natural_key(lot.variety.name), natural_key(lot.name)
