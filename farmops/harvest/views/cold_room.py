"""The cold room: what lies there; one lot counted or taken out by hand; a lot packed."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from farmops import clock
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.harvest.cold_room import cold_room
from farmops.harvest.forms import LiesForm
from farmops.harvest.lot_page import as_cut, asked_for
from farmops.harvest.models import Lot, StockMove
from farmops.harvest.move_stock import Lies, count_stock, take_out
from farmops.harvest.pack_lot import pack_lot
from farmops.journal.deed import Done
from farmops.web.pages import render_page


@require_GET
def room(request: HttpRequest) -> HttpResponse:
    rows = cold_room(clock.today())
    context = {"rows": [row for row in rows if not row.is_owed], "owed": [row for row in rows if row.is_owed]}
    return render_page(request, "harvest/cold_room.html", context, partial="harvest/_cold_room.html")


@require_http_methods(["GET", "POST"])
def lot(request: HttpRequest) -> HttpResponse:
    try:
        page = asked_for(request.GET.dict(), clock.today())
    except LookupError as error:
        raise Http404 from error
    form = LiesForm(request.POST if request.method == "POST" else None)
    return answer_job(
        request,
        form,
        lambda: _do(request, page.what, form),
        page="harvest/lot.html",
        partial="harvest/_lot.html",
        context={"page": page, "address": request.get_full_path()},
        then=reverse("cold-room"),
    )


def _do(request: HttpRequest, what: Lies, form: LiesForm) -> Done:
    typed, saying = form.cleaned_data, saying_of(request)
    if typed["do"] == "count":
        return count_stock(saying=saying, what=what, there=typed["there"], yes=form.answered)
    why, yes = StockMove.Why(typed["why"] or StockMove.Why.COMPOST), form.answered
    return take_out(saying=saying, what=what, amount=typed["amount"], why=why, where_to=typed["where_to"], yes=yes)


@require_http_methods(["GET", "POST"])
def pack(request: HttpRequest, code: str) -> HttpResponse:
    found = get_object_or_404(Lot.objects.select_related("planting__variety"), code__iexact=code)
    try:
        page = as_cut(found, clock.today())
    except LookupError as error:
        raise Http404 from error
    form = page.pack_form(request.POST if request.method == "POST" else None)
    return answer_job(
        request,
        form,
        lambda: pack_lot(saying=saying_of(request), lot=found, **form.typed, yes=form.answered),
        page="harvest/pack.html",
        partial="harvest/_pack.html",
        context={"page": page, "address": request.path},
        then=reverse("cold-room"),
    )
