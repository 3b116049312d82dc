"""Tonight's pick list on the phone: the lines to cut, what is done of them, whether the sheet in the shed is old."""

from datetime import date, timedelta

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.planning.rows import FaultsFound
from farmops.planning.sheet_page import sheet_page
from farmops.planning.solver import SolverFailed
from farmops.planning.tonight import make_sheet
from farmops.web.pages import render_page

FARTHEST = timedelta(days=3660)


@require_http_methods(["GET", "POST"])
def pick_list(request: HttpRequest) -> HttpResponse:
    today = clock.today()
    day, faults = _day(request.POST.get("day", "") or request.GET.get("day", ""), today), []
    if request.method == "POST":
        try:
            sheet = make_sheet(day=day, now=clock.now())
        except FaultsFound as found:
            faults = [str(fault) for fault in found.faults]
        except SolverFailed:
            faults = [_("What is short could not be shared out just now. The list before stays as it is; try again.")]
        else:
            messages.success(request, _("Version %(version)d is made.") % {"version": sheet.version})
            return HttpResponseRedirect(f"{reverse('pick-list')}?day={day}", status=303)
    context = {
        "day": day,
        "page": sheet_page(day),
        "faults": faults,
        "days": [today, today + timedelta(days=1)],
    }
    status = 422 if faults else 200
    return render_page(request, "planning/pick_list.html", context, partial="planning/_pick_list.html", status=status)


def _day(text: str, today: date) -> date:
    """The day asked for, within ten years: the list looks at the days before and after it."""
    try:
        day = date.fromisoformat(text) if text else today
    except ValueError as error:
        raise Http404(text) from error
    if abs(day - today) > FARTHEST:
        raise Http404(text)
    return day
