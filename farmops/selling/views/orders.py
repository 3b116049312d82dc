"""Orders and boxes: what is wanted, and every way to change it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmops.farm.days import farm_today
from farmops.farm.forms import new_key
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.journal.deed import Done
from farmops.selling.box_counts import add_boxes, change_boxes, end_boxes
from farmops.selling.models import BoxCount, StandingOrder
from farmops.selling.order_forms import BoxForm, ChangeBoxForm, ChangeOrderForm, NotThisTimeForm, OnceForm, OrderForm
from farmops.selling.orders import add_order, change_order, end_order, not_this_time, want_once
from farmops.selling.orders_page import orders_page
from farmops.selling.typed_stock import in_figures
from farmops.selling.views.plain_form import answer_form


@require_http_methods(["GET", "POST"])
def orders(request: HttpRequest) -> HttpResponse:
    """The coming days; a press leaves one thing out this time."""
    form = NotThisTimeForm(request.POST if request.method == "POST" else None)

    def leave_out() -> Done:
        typed = form.cleaned_data
        return not_this_time(saying=saying_of(request), outlet=typed["outlet"], item=typed["item"], day=typed["day"])

    return answer_job(
        request,
        form,
        leave_out,
        page="selling/orders.html",
        partial="selling/_orders.html",
        context={"page": orders_page(farm_today()), "page_key": new_key()},
        then=reverse("orders"),
    )


@require_http_methods(["GET", "POST"])
def new_order(request: HttpRequest) -> HttpResponse:
    first = {"weekday": farm_today().weekday(), **request.GET.dict()}
    form = OrderForm(request.POST if request.method == "POST" else None, initial=first)

    def add() -> Done:
        typed = {name: form.cleaned_data[name] for name in form.fields if name not in _OWN}
        return add_order(saying=saying_of(request), typed=typed.pop("amount"), yes=form.answered, **typed)

    return answer_form(
        request,
        form,
        add,
        title=_("A standing order"),
        button=_("Add it"),
        address=reverse("new-order"),
        back=reverse("orders"),
    )


@require_http_methods(["GET", "POST"])
def order(request: HttpRequest, number: int) -> HttpResponse:
    one = get_object_or_404(StandingOrder.objects.live().select_related("buyer", "item"), pk=number)
    first = {"amount": in_figures(one.amount, one.item.unit), "from_on": farm_today()}
    form = ChangeOrderForm(request.POST if request.method == "POST" else None, initial=first)

    def alter() -> Done:
        saying, day = saying_of(request), form.cleaned_data["from_on"]
        if form.cleaned_data["what"] == "end":
            return end_order(saying=saying, order=one, last_on=day)
        typed = form.cleaned_data["amount"]
        return change_order(saying=saying, order=one, typed=typed, from_on=day, yes=form.answered)

    title = _("%(who)s: %(item)s") % {"who": one.buyer.name, "item": one.item.name}
    return answer_form(
        request, form, alter, title=title, button="", address=reverse("order", args=[one.pk]), back=reverse("orders")
    )


@require_http_methods(["GET", "POST"])
def want(request: HttpRequest) -> HttpResponse:
    first = {"wanted_on": farm_today(), **request.GET.dict()}
    form = OnceForm(request.POST if request.method == "POST" else None, initial=first)

    def add() -> Done:
        typed = {name: form.cleaned_data[name] for name in ("outlet", "item", "wanted_on", "note", "price")}
        return want_once(
            saying=saying_of(request),
            typed=form.cleaned_data["amount"],
            replaces_standing=form.cleaned_data["instead"],
            yes=form.answered,
            **typed,
        )

    return answer_form(
        request,
        form,
        add,
        title=_("Wanted once"),
        button=_("Add it"),
        address=reverse("want-once"),
        back=reverse("orders"),
    )


@require_http_methods(["GET", "POST"])
def new_boxes(request: HttpRequest) -> HttpResponse:
    form = BoxForm(request.POST if request.method == "POST" else None, initial={"first_on": farm_today()})

    def add() -> Done:
        typed = {name: form.cleaned_data[name] for name in form.fields if name not in _OWN}
        return add_boxes(saying=saying_of(request), typed=typed.pop("amount"), yes=form.answered, **typed)

    return answer_form(
        request, form, add, title=_("Boxes"), button=_("Add them"), address=reverse("new-boxes"), back=reverse("orders")
    )


@require_http_methods(["GET", "POST"])
def boxes(request: HttpRequest, number: int) -> HttpResponse:
    one = get_object_or_404(BoxCount.objects.live().select_related("box", "item"), pk=number)
    first = {"amount": in_figures(one.amount, one.item.unit), "boxes": one.boxes, "from_on": farm_today()}
    form = ChangeBoxForm(request.POST if request.method == "POST" else None, initial=first)

    def alter() -> Done:
        saying, day = saying_of(request), form.cleaned_data["from_on"]
        if form.cleaned_data["what"] == "end":
            return end_boxes(saying=saying, count=one, last_on=day)
        number = form.cleaned_data["boxes"]
        boxes = one.boxes if number is None else number
        typed = form.cleaned_data["amount"]
        return change_boxes(saying=saying, count=one, boxes=boxes, typed=typed, from_on=day, yes=form.answered)

    title = _("%(who)s %(size)s: %(item)s") % {"who": one.box.name, "size": one.size, "item": one.item.name}
    return answer_form(
        request, form, alter, title=title, button="", address=reverse("boxes", args=[one.pk]), back=reverse("orders")
    )


_OWN = ("once", "yes", "next", "because")
