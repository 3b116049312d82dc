"""The sowing list for the bench: what to sow and why, started with one press, or chosen otherwise."""

from collections.abc import Callable, Sequence
from datetime import date, datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from farmops import clock
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.growing.models import Variety
from farmops.growing.plan_sowing import plan_sowing
from farmops.journal.refusal import Refused
from farmops.people.access import asker_of, with_password
from farmops.planning import room_worth
from farmops.planning.last_sowing_page import last_sowings_shown
from farmops.planning.rows import FaultsFound
from farmops.planning.solver import SolverFailed
from farmops.planning.sowing_list import KIND, work_out_sowings
from farmops.planning.sowing_list_choice import choose_sowing
from farmops.planning.sowing_list_forms import ChoiceForm, StartForm
from farmops.planning.stored_answers import BeingWorkedOut, Stored, kept_answer, stored
from farmops.planning.views.bench_lines import bench_lines
from farmops.planning.views.sowing_list_page import SowingList, sowing_list
from farmops.web.pages import render_page


@require_GET
def bench(request: HttpRequest) -> HttpResponse:
    return _page(request)


@require_GET
def last_days(request: HttpRequest) -> HttpResponse:
    """The last day to sow each variety, as it was worked out with the list."""
    kept = stored(KIND)
    table = last_sowings_shown(kept.answer["last_days"]) if kept else None
    context = {"kept": kept, "table": table}
    return render_page(request, "planning/last_sowing.html", context, partial="planning/_last_sowing.html")


@require_POST
def work_out(request: HttpRequest) -> HttpResponse:
    """Plan anew; whatever goes wrong, the list that was there stays."""
    return _worked_out(request, work_out_sowings, _("Worked out from all that is written down."))


@require_POST
@with_password
def room(request: HttpRequest) -> HttpResponse:
    """What one more space of each kind that is full would earn."""
    return _worked_out(request, room_worth.work_out_room, _("Worked out what more room would earn."), "#room")


def _worked_out(
    request: HttpRequest, work: Callable[[date, datetime], Stored], done: str, at: str = ""
) -> HttpResponse:
    try:
        work(clock.today(), clock.now())
    except BeingWorkedOut:
        return _page(request, [_("It is being worked out at the moment: look again in half a minute.")])
    except FaultsFound as found:
        return _page(request, [str(fault) for fault in found.faults])
    except ValueError as error:
        return _page(request, [str(error)])
    except SolverFailed as failed:
        return _page(request, [_("No plan was found: %(why)s. Nothing was changed; try again.") % {"why": failed}])
    messages.success(request, done)
    return HttpResponseRedirect(reverse("sowing-list") + at, status=303)


@require_POST
def start(request: HttpRequest) -> HttpResponse:
    """Give a line its planting, and go on to sowing it."""
    form = StartForm(request.POST)
    if not form.is_valid():
        return _page(request, [str(error) for errors in form.errors.values() for error in errors])
    variety = get_object_or_404(Variety, pk=form.cleaned_data["variety"])
    plants, day = form.cleaned_data["parts"] * variety.part_plants, form.cleaned_data["day"]
    try:
        done = plan_sowing(saying=saying_of(request), variety=variety, plants=plants, sow_on=day)
    except Refused as refusal:
        return _page(request, [str(refusal)])
    return HttpResponseRedirect(_sow_address(str(done.answer["code"])), status=303)


@require_http_methods(["GET", "POST"])
def line(request: HttpRequest, variety: int, monday: str) -> HttpResponse:
    """One line: its sum, and another number or not now."""
    sown, week, kept = get_object_or_404(Variety, pk=variety), _monday(monday), kept_answer(KIND)
    lines = bench_lines(kept, clock.today(), of=sown) if kept else ()
    found = next((one for one in lines if one.monday == week), None)
    chosen = found.chosen if found else None
    initial = {"parts": chosen.parts, "reason": chosen.reason} if chosen else {}
    form = ChoiceForm(request.POST if request.method == "POST" else None, initial=initial)
    return answer_job(
        request,
        form,
        lambda: choose_sowing(
            saying=saying_of(request),
            variety=sown,
            week=week,
            parts=form.parts_chosen,
            proposed=found.proposed if found else 0.0,
            reason=form.cleaned_data["reason"],
        ),
        page="planning/sowing_list_line.html",
        partial="planning/_sowing_list_line.html",
        context={"line": found, "variety": sown, "monday": week},
        then=reverse("sowing-list"),
    )


def known_list(*, with_money: bool = False) -> SowingList | None:
    """What was worked out last; None where nothing was."""
    kept, worth = stored(KIND), stored(room_worth.KIND) if with_money else None
    return None if kept is None else sowing_list(kept, clock.today(), worth)


def _page(request: HttpRequest, trouble: Sequence[str] = ()) -> HttpResponse:
    asker = asker_of(request)
    may_see_money = asker.has_password and asker.may_see_money
    context = {
        "list": known_list(with_money=may_see_money),
        "trouble": trouble,
        "may_see_money": may_see_money,
    }
    status = 422 if trouble else 200
    return render_page(
        request, "planning/sowing_list.html", context, partial="planning/_sowing_list.html", status=status
    )


def _monday(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError as error:
        raise Http404(text) from error
    if day.weekday() != 0:
        raise Http404(text)
    return day


def _sow_address(code: str) -> str:
    back = reverse("sowing-list")
    try:
        return f"{reverse('sow-planned', args=[code])}?next={back}"
    except NoReverseMatch:
        return back
