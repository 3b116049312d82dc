"""The winter plan: a year by week, copied from the one before, its sowings and the seed they take."""

from collections.abc import Sequence
from datetime import timedelta

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from farmops import clock
from farmops.farm.days import farm_today
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.people.access import asker_of, with_password
from farmops.planning.copy_year import copy_of, span_of
from farmops.planning.copy_year_write import copy_year
from farmops.planning.rows import FaultsFound
from farmops.planning.solver import SolverFailed
from farmops.planning.stored_answers import BeingWorkedOut, stored
from farmops.planning.views.winter_page import KIND, sowings_of, winter_page
from farmops.planning.winter_forms import CopyYearForm
from farmops.planning.winter_seed import seed_order
from farmops.planning.winter_sowings import work_out_year
from farmops.planning.winter_year import year_of_plan
from farmops.web.pages import render_page

FIRST_YEAR, LAST_YEAR = 2001, 2098


@require_GET
def plan(request: HttpRequest) -> HttpResponse:
    return _page(request, asked_year(request))


@require_POST
def work_out(request: HttpRequest) -> HttpResponse:
    """Plan the year's sowings anew; whatever goes wrong, the plan that was there stays."""
    year = asked_year(request)
    try:
        work_out_year(farm_today(), clock.now())
    except BeingWorkedOut:
        return _page(request, year, [_("It is being worked out at the moment: look again in half a minute.")])
    except FaultsFound as found:
        return _page(request, year, [str(fault) for fault in found.faults])
    except ValueError as error:
        return _page(request, year, [str(error)])
    except SolverFailed as failed:
        return _page(
            request, year, [_("No plan was found: %(why)s. Nothing was changed; try again.") % {"why": failed}]
        )
    messages.success(request, _("Worked out from all that is written down."))
    return HttpResponseRedirect(f"{reverse('winter-plan')}?year={year}", status=303)


@require_http_methods(["GET", "POST"])
@with_password
def copied(request: HttpRequest, year: int) -> HttpResponse:
    """What of the year before can be copied, and the press that does it."""
    year, form = known_year(year), CopyYearForm(request.POST if request.method == "POST" else None)
    week_53 = form.data.get("week_53") or request.GET.get("week_53", "")
    return answer_job(
        request,
        form,
        lambda: copy_year(saying=saying_of(request), year=year, week_53=form.cleaned_data["week_53"]),
        page="planning/winter_copy.html",
        partial="planning/_winter_copy.html",
        context={"copy": copy_of(year, farm_today(), week_53), "chosen": week_53},
        then=f"{reverse('winter-plan')}?year={year}",
    )


@require_GET
@with_password
def seed(request: HttpRequest) -> HttpResponse:
    """Seed to order for a year's sowings."""
    year, kept = asked_year(request), stored(KIND)
    until = span_of(year)[1] + timedelta(days=1)
    context = {
        "year": year,
        "sowings": None if kept is None else sowings_of(kept, year, farm_today()),
        "order": None if kept is None else seed_order(kept, until, farm_today()),
    }
    return render_page(request, "planning/winter_seed.html", context, partial="planning/_winter_seed.html")


def asked_year(request: HttpRequest) -> int:
    """The ISO year of the address, else the one that most of the next twelve months lie in."""
    text = request.GET.get("year", "")
    if not text:
        return year_of_plan(farm_today())
    try:
        return known_year(int(text))
    except ValueError as error:
        raise Http404(text) from error


def known_year(year: int) -> int:
    """A year that weeks can be counted in."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Http404(str(year))
    return year


def _page(request: HttpRequest, year: int, trouble: Sequence[str] = ()) -> HttpResponse:
    asker, today = asker_of(request), farm_today()
    context = {
        "page": winter_page(year, today),
        "before": year - 1 if year > FIRST_YEAR else None,
        "after": year + 1 if year < LAST_YEAR else None,
        "is_over": span_of(year)[1] < today,
        "may_copy": asker.may_see_money,
        "trouble": trouble,
    }
    status = 422 if trouble else 200
    return render_page(request, "planning/winter.html", context, partial="planning/_winter.html", status=status)
