"""Setting up items: all of them, a new one, one changed."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.item_forms import ItemFactsForm, ItemForm
from farmops.growing.item_pages import items_list, parts_in_order
from farmops.growing.models import Item, Variety
from farmops.growing.natural_order import natural_key
from farmops.growing.set_item import add_item, change_item
from farmops.growing.typed_item import typed_of
from farmops.journal.deed import Done
from farmops.people.access import with_password
from farmops.web.pages import render_page


@require_GET
@with_password
def items(request: HttpRequest) -> HttpResponse:
    context = {"lines": items_list()}
    return render_page(request, "growing/items.html", context, partial="growing/_items.html")


@require_http_methods(["GET", "POST"])
@with_password
def new_item(request: HttpRequest) -> HttpResponse:
    form = ItemForm(request.POST if request.method == "POST" else None, varieties=_varieties())

    def add() -> Done:
        facts = form.facts
        return add_item(saying=saying_of(request), name=facts.pop("name"), parts=form.parts, **facts)

    return _answer(request, form, add, _("A new item"))


@require_http_methods(["GET", "POST"])
@with_password
def item(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(Item, pk=number)
    known = typed_of(row, parts_in_order(row))
    form = ItemFactsForm(request.POST if request.method == "POST" else None, varieties=_varieties(), initial=known)

    def alter() -> Done:
        return change_item(saying=saying_of(request), item=row, parts=form.parts, **form.facts)

    return _answer(request, form, alter, _("%(name)s, by the %(unit)s") % {"name": row.name, "unit": row.unit})


def _varieties() -> list[str]:
    return sorted(Variety.objects.values_list("name", flat=True), key=natural_key)


def _answer(request: HttpRequest, form: ItemFactsForm, deed: Callable[[], Done], title: str) -> HttpResponse:
    categories = Item.objects.exclude(category="").values_list("category", flat=True).distinct()
    return answer_job(
        request,
        form,
        deed,
        page="growing/item.html",
        partial="growing/_item.html",
        context={
            "title": title,
            "address": request.get_full_path(),
            "back": reverse("items"),
            "categories": sorted(categories, key=natural_key),
        },
        then=reverse("items"),
    )
