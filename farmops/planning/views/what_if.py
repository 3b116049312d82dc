"""What would be if: one more market day, more boxes, a space out of use, another price, beside today's plan."""

from collections.abc import Sequence
from datetime import timedelta
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_POST

from farmops import clock
from farmops.core.calendar import monday_of
from farmops.people.access import with_password
from farmops.planning.rows import FaultsFound
from farmops.planning.solver import SolverFailed
from farmops.planning.stored_answers import BeingWorkedOut, stored
from farmops.planning.views.what_if_page import Compared, compared
from farmops.planning.what_if import KIND, about, work_out_what_if
from farmops.planning.what_if_forms import FORMS, WhatIfForm
from farmops.web.pages import render_page

TITLES = {
    "market": gettext_lazy("One market day more"),
    "boxes": gettext_lazy("More boxes, or fewer"),
    "space": gettext_lazy("A space out of use"),
    "price": gettext_lazy("Another price"),
}


@require_GET
@with_password
def asked(request: HttpRequest) -> HttpResponse:
    """The question in the address, with its answer where it was worked out."""
    kind = request.GET.get("kind", "")
    if kind and kind not in FORMS:
        raise Http404(kind)
    form = FORMS[kind](request.GET, auto_id=f"{kind}-%s") if kind and len(request.GET) > 1 else None
    shown = None
    if form is not None and form.is_valid():
        change = form.change()
        kept = stored(KIND, about(change))
        shown = None if kept is None else compared(change, kept, clock.today())
    return _page(request, kind, form, shown=shown)


@require_POST
@with_password
def work_out(request: HttpRequest) -> HttpResponse:
    """Work one out; whatever goes wrong, what was typed stays."""
    kind = request.POST.get("kind", "")
    if kind not in FORMS:
        raise Http404(kind)
    form = FORMS[kind](request.POST, auto_id=f"{kind}-%s")
    if not form.is_valid():
        return _page(request, kind, form)
    try:
        work_out_what_if(form.change(), clock.today(), clock.now())
    except BeingWorkedOut:
        return _page(request, kind, form, [_("Another one is being worked out: try again in half a minute.")])
    except FaultsFound as found:
        return _page(request, kind, form, [str(fault) for fault in found.faults])
    except ValueError as error:
        return _page(request, kind, form, [str(error)])
    except SolverFailed as failed:
        return _page(request, kind, form, [_("No plan was found: %(why)s. Try again.") % {"why": failed}])
    typed = {"kind": kind} | {name: request.POST.get(name, "") for name in form.fields}
    return HttpResponseRedirect(f"{reverse('what-if')}?{urlencode(typed)}", status=303)


def _page(
    request: HttpRequest,
    kind: str,
    form: WhatIfForm | None,
    trouble: Sequence[str] = (),
    shown: Compared | None = None,
) -> HttpResponse:
    next_monday = monday_of(clock.today()) + timedelta(days=7)
    fresh = {name: made(initial={"first": next_monday}, auto_id=f"{name}-%s") for name, made in FORMS.items()}
    if form is not None:
        fresh[kind] = form
    forms = [(name, TITLES[name], one, name == kind and shown is None) for name, one in fresh.items()]
    context = {"forms": forms, "trouble": trouble, "shown": shown}
    refused = bool(trouble) or (form is not None and bool(form.errors))
    return render_page(
        request, "planning/what_if.html", context, partial="planning/_what_if.html", status=422 if refused else 200
    )
