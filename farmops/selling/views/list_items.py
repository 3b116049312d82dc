"""Putting one more item on the list of a market day."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from farmops.farm.forms import new_key
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.models import Item
from farmops.growing.natural_order import natural_key
from farmops.selling.forms import AddItemForm
from farmops.selling.models import MarketDay
from farmops.selling.plan_market_day import add_item


@require_http_methods(["GET", "POST"])
def list_items(request: HttpRequest, day: int) -> HttpResponse:
    market_day = get_object_or_404(MarketDay.objects.select_related("outlet"), pk=day)
    form = AddItemForm(request.POST if request.method == "POST" else None)
    others = Item.objects.exclude(market_lines__in=market_day.lines.filter(entry__corrected_by=None))
    return answer_job(
        request,
        form,
        lambda: add_item(saying=saying_of(request), market_day=market_day, item=form.cleaned_data["item"]),
        page="selling/list_items.html",
        partial="selling/_list_items.html",
        context={
            "items": sorted(others, key=lambda item: natural_key(item.name)),
            "market_day": market_day,
            "page_key": new_key(),
        },
        then=reverse("market-day", args=[market_day.pk]),
    )
