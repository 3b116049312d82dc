"""The day book: what was done today, and taking the last thing back."""

from datetime import date
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from farmops import clock
from farmops.farm.day_book import day_book
from farmops.farm.days import farm_day, farm_zone
from farmops.farm.forms import JobForm
from farmops.farm.views.job_page import answer_job, safe_address, saying_of
from farmops.journal.models import Entry
from farmops.journal.undo import undo
from farmops.web.pages import render_page


@require_GET
def book(request: HttpRequest) -> HttpResponse:
    zone = farm_zone()
    day = _day(request.GET.get("day", ""), zone)
    context = {"day": day, "lines": day_book(day, zone)}
    return render_page(request, "farm/day_book.html", context, partial="farm/_day_book.html")


@require_http_methods(["GET", "POST"])
def undo_entry(request: HttpRequest, number: int) -> HttpResponse:
    entry = get_object_or_404(Entry, pk=number)
    then = f"{reverse('day-book')}?day={entry.farm_day}"
    return answer_job(
        request,
        JobForm(request.POST if request.method == "POST" else None, initial={"next": request.GET.get("next", "")}),
        lambda: undo(saying=saying_of(request, day=entry.farm_day, corrects=entry)),
        page="farm/undo.html",
        partial="farm/_undo.html",
        context={"entry": entry, "back": safe_address(request, request.GET.get("next", "")) or then},
        then=then,
    )


def _day(text: str, zone: ZoneInfo) -> date:
    try:
        return date.fromisoformat(text) if text else farm_day(clock.now(), zone)
    except ValueError as error:
        raise Http404(text) from error
