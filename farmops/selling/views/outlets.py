"""Outlets and prices: where is sold, when, and for how much."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from farmops.farm.days import farm_today
from farmops.farm.views.job_page import saying_of
from farmops.journal.deed import Done
from farmops.people.access import with_password
from farmops.selling.models import Outlet
from farmops.selling.outlet_forms import ChangeOutletForm, CloseForm, OutletForm, PriceForm
from farmops.selling.outlets_page import outlets_page
from farmops.selling.set_price import add_outlet, change_outlet, close_outlet, set_price
from farmops.selling.typed_clock import clock_of
from farmops.selling.views.plain_form import answer_form
from farmops.web.pages import render_page


@require_GET
@with_password
def outlets(request: HttpRequest) -> HttpResponse:
    context = {"page": outlets_page(farm_today())}
    return render_page(request, "selling/outlets.html", context, partial="selling/_outlets.html")


@require_http_methods(["GET", "POST"])
@with_password
def new_outlet(request: HttpRequest) -> HttpResponse:
    form = OutletForm(request.POST if request.method == "POST" else None, initial={"opens": "08:00", "closes": "13:00"})

    def add() -> Done:
        facts = {name: form.cleaned_data[name] for name in ("name", "kind", "weekday")}
        opens, closes = form.hours()
        return add_outlet(saying=saying_of(request), opens_minute=opens, closes_minute=closes, **facts)

    return answer_form(
        request,
        form,
        add,
        title=_("A place to sell to"),
        button=_("Add it"),
        address=reverse("new-outlet"),
        back=reverse("outlets"),
    )


@require_http_methods(["GET", "POST"])
@with_password
def outlet(request: HttpRequest, number: int) -> HttpResponse:
    one = get_object_or_404(Outlet, pk=number)
    first = {
        "weekday": one.weekday,
        "opens": clock_of(one.opens_minute),
        "closes": clock_of(one.closes_minute),
        "first_on": one.first_on,
        "last_on": one.last_on,
    }
    form = ChangeOutletForm(request.POST if request.method == "POST" else None, initial=first)

    def alter() -> Done:
        opens, closes = form.hours(one.opens_minute, one.closes_minute)
        facts = {name: form.cleaned_data[name] for name in ("weekday", "first_on", "last_on")}
        saying = saying_of(request)
        return change_outlet(saying=saying, outlet=one, opens_minute=opens, closes_minute=closes, **facts)

    address = reverse("outlet", args=[one.pk])
    return answer_form(request, form, alter, title=one.name, button=_("Save"), address=address, back=reverse("outlets"))


@require_http_methods(["GET", "POST"])
@with_password
def closed(request: HttpRequest, number: int) -> HttpResponse:
    one = get_object_or_404(Outlet, pk=number)
    form = CloseForm(request.POST if request.method == "POST" else None)

    def close() -> Done:
        typed = form.cleaned_data
        last_on = typed["last_on"] or typed["first_on"]
        facts = {"first_on": typed["first_on"], "last_on": last_on, "reason": typed["reason"]}
        return close_outlet(saying=saying_of(request), outlet=one, **facts)

    title, address = _("%(name)s closed") % {"name": one.name}, reverse("outlet-closed", args=[one.pk])
    return answer_form(request, form, close, title=title, button=_("Note it"), address=address, back=reverse("outlets"))


@require_http_methods(["GET", "POST"])
@with_password
def price(request: HttpRequest) -> HttpResponse:
    form = PriceForm(request.POST if request.method == "POST" else None, initial=request.GET.dict())

    def put() -> Done:
        facts = {name: form.cleaned_data[name] for name in ("item", "outlet", "from_on")}
        return set_price(saying=saying_of(request), typed=form.cleaned_data["price"], yes=form.answered, **facts)

    return answer_form(
        request, form, put, title=_("A price"), button=_("Save"), address=reverse("new-price"), back=reverse("outlets")
    )
