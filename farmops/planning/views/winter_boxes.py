"""What is in the boxes: each size by week, and one form that says it for some weeks."""

from collections.abc import Mapping

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.models import Item
from farmops.growing.natural_order import natural_key
from farmops.journal.deed import Done
from farmops.people.access import with_password
from farmops.planning.copy_year import span_of
from farmops.planning.views.winter import asked_year
from farmops.planning.winter_boxes import contents_in, contents_of, set_contents
from farmops.planning.winter_forms import BoxContentsForm
from farmops.web.pages import render_page


@require_GET
@with_password
def contents(request: HttpRequest) -> HttpResponse:
    year = asked_year(request)
    context = {"year": year, "sizes": contents_of(*span_of(year))}
    return render_page(request, "planning/winter_boxes.html", context, partial="planning/_winter_boxes.html")


@require_http_methods(["GET", "POST"])
@with_password
def set_them(request: HttpRequest) -> HttpResponse:
    """One size for some weeks; opened from a line it is filled in with what that week holds."""
    items = sorted(Item.objects.all(), key=lambda one: natural_key(one.name))
    form = BoxContentsForm(
        items, request.POST if request.method == "POST" else None, initial=_initial(items, request.GET.dict())
    )

    def put() -> Done:
        facts = {name: form.cleaned_data[name] for name in ("box", "size", "first_on", "last_on", "boxes")}
        return set_contents(saying=saying_of(request), typed=form.typed, yes=form.answered, **facts)

    return answer_job(
        request,
        form,
        put,
        page="planning/winter_box.html",
        partial="planning/_winter_box.html",
        context={},
        then=reverse("box-contents"),
    )


def _initial(items: list[Item], asked: Mapping[str, str]) -> dict[str, object]:
    """What the address says, and what that week holds where it names one."""
    form = BoxContentsForm((), asked)
    form.is_valid()
    known = form.cleaned_data
    boxes, there = contents_in(known.get("box"), known.get("size", ""), known.get("first_on"))
    return {"boxes": boxes, **{f"item-{item.pk}": there.get(item.pk, "") for item in items}, **asked}
