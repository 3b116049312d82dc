"""Looking back: what running out and leftovers cost on the farm's own market days, and what to bring next."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from farmops import clock
from farmops.exchange.views.look_back_page import lines_of, look_back_answer, sown_as, with_charts
from farmops.paper.print_page import print_page
from farmops.people.access import with_password
from farmops.planning.from_tables import farm_rows
from farmops.planning.look_back import look_back
from farmops.planning.models import StoredAnswer
from farmops.planning.stored_answers import HISTORY, BeingWorkedOut, Json, keep, stored, work_out
from farmops.web.pages import render_page

KIND, DAYS = StoredAnswer.Kind.LOOK_BACK, "days"
PAPER = "exchange/look_back_paper.html"


class NothingKnown(Exception):
    """No market day is noted in the weeks looked back at."""


@with_password
@require_GET
def page(request: HttpRequest) -> HttpResponse:
    return _page(request)


@with_password
@require_POST
def worked_out(request: HttpRequest) -> HttpResponse:
    """Learn anew; whatever goes wrong, the page that was there stays."""
    try:
        work_out_look_back()
    except BeingWorkedOut:
        return _page(request, [_("It is being worked out at the moment: look again in a few seconds.")])
    except NothingKnown:
        return _page(
            request, [_("No market day of the last 52 weeks is written down yet, so there is nothing to tell.")]
        )
    messages.success(request, _("Worked out from all that is written down."))
    return HttpResponseRedirect(reverse("look-back"), status=303)


@with_password
@require_GET
def days(request: HttpRequest) -> HttpResponse:
    """Every day of one item at one market that a figure was summed from."""
    kept = stored(KIND, DAYS)
    market, item = request.GET.get("market", ""), request.GET.get("item", "")
    found = kept.answer["days"].get(f"{market}|{item}") if kept else None
    if found is None:
        raise Http404(f"{market} {item}")
    context = {"market": market, "item": item, "days": found}
    return render_page(request, "exchange/look_back_days.html", context, partial="exchange/_look_back_days.html")


@with_password
@require_GET
def paper(request: HttpRequest, kind: str) -> HttpResponse:
    kept = stored(KIND)
    if kept is None:
        return HttpResponseRedirect(reverse("look-back"))
    context = {"page": with_charts(kept.answer), "kept": kept}
    return print_page(request, PAPER, context, kind=kind, name=f"look-back-{kept.as_of:%Y-%m-%d}")


def work_out_look_back() -> None:
    """Work it out from the tables and keep the page, and the days behind it.

    Raises
    ------
    BeingWorkedOut
        If that is under way.
    NothingKnown
        If there is no market day to look back at.
    """
    today, now, old = clock.today(), clock.now(), stored(KIND)
    beside: Json = {}

    def make() -> Json:
        back = look_back(farm_rows(since=today - HISTORY), today)
        if back is None:
            raise NothingKnown
        answer, all_days = look_back_answer(back, lines_of(back), sown_as(), old)
        beside.update(all_days)
        return answer

    kept = work_out(KIND, make, as_of=today, now=now)
    keep(KIND, beside, as_of=today, now=now, last_entry=kept.last_entry, about=DAYS)


def _page(request: HttpRequest, trouble: Sequence[str] = ()) -> HttpResponse:
    kept = stored(KIND)
    context = {"page": with_charts(kept.answer) if kept else None, "kept": kept, "trouble": trouble}
    status = 422 if trouble else 200
    return render_page(request, "exchange/look_back.html", context, partial="exchange/_look_back.html", status=status)
