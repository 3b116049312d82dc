"""What to sow this week: drop the farm's sheets, then the plan, worked out apart so that the page is never stuck."""

import threading
from datetime import date
from pathlib import Path

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods
from django_htmx.http import HttpResponseClientRedirect

from farmops import clock
from farmops.exchange.desk import desk
from farmops.exchange.farm_sheets import blank_sheets, bundle, read_bundle
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.views.sowing_page import SowingPage, make_sowing_page
from farmops.people.access import open_until_first_account, with_password
from farmops.planning.rows import Fault, FaultsFound
from farmops.planning.solver import SolverFailed
from farmops.planning.sowing import plan_sowings
from farmops.web.pages import render_page, wants_fragment

DEMO_SHEETS: Path = settings.BASE_DIR / "fixtures" / "demo" / "sheets"
DEMO_DAY = "2026-09-07"  # the day on which the invented farm stands
FIRST_YEAR, LAST_YEAR = 1990, 2100
_one_plan_at_a_time = threading.Lock()


def day_in(text: str | None) -> date:
    """The day asked for, else the farm's today."""
    try:
        day = date.fromisoformat((text or "").strip())
    except ValueError:
        return clock.today()
    return day if FIRST_YEAR <= day.year <= LAST_YEAR else clock.today()


def sheets_screen(request: HttpRequest, faults: list[Fault], as_of: date, *, status: int = 200) -> HttpResponse:
    context = {"faults": faults, "as_of": as_of, "sheets": SHEETS, "has_demo": DEMO_SHEETS.is_dir()}
    return render_page(request, "exchange/sheets.html", context, partial="exchange/_sheets.html", status=status)


@with_password
@open_until_first_account
@require_http_methods(["GET", "POST"])
def sowings(request: HttpRequest) -> HttpResponse:
    as_of = day_in(request.POST.get("as_of"))
    if request.method == "GET":
        return sheets_screen(request, [], as_of)
    files = [file for file in request.FILES.getlist("sheets") if isinstance(file, UploadedFile)]
    try:
        packed = bundle([(file.name or "sheet.csv", file.read()) for file in files])
        read_bundle(packed)
    except FaultsFound as found:
        return sheets_screen(request, list(found.faults), as_of, status=422)
    address = reverse("sowing", args=[desk.put(packed, "sheets").key]) + f"?as_of={as_of}"
    return HttpResponseClientRedirect(address) if request.headers.get("HX-Request") else HttpResponseRedirect(address)


@with_password
@open_until_first_account
@require_GET
def demo(request: HttpRequest) -> HttpResponse:
    if not DEMO_SHEETS.is_dir():
        raise Http404
    packed = bundle({path.name: path.read_bytes() for path in sorted(DEMO_SHEETS.glob("*.csv"))})
    return HttpResponseRedirect(reverse("sowing", args=[desk.put(packed, "sheets").key]) + f"?as_of={DEMO_DAY}")


@with_password
@open_until_first_account
@require_GET
def blank(request: HttpRequest) -> HttpResponse:
    response = HttpResponse(blank_sheets(), content_type="application/zip")
    response["Content-Disposition"] = 'attachment; filename="blank-sheets.zip"'
    return response


def waiting(request: HttpRequest, as_of: date) -> HttpResponse:
    context = {"address": f"{request.path}?as_of={as_of}", "is_busy": "now" in request.GET or wants_fragment(request)}
    return render_page(request, "exchange/sowing_wait.html", context, partial="exchange/_sowing_wait.html")


@with_password
@open_until_first_account
@require_GET
def sowing(request: HttpRequest, key: str) -> HttpResponse:
    sheet, as_of = desk.get(key), day_in(request.GET.get("as_of"))
    if sheet is None or not isinstance(sheet.content, bytes):
        gone = Fault("sheets", None, "", _("These sheets are no longer in memory."), _("Drop them in once more."))
        return sheets_screen(request, [gone], as_of)
    page = desk.known(key, ("plan", as_of))
    if page is None:
        is_asked = wants_fragment(request) or "now" in request.GET
        if not is_asked or not _one_plan_at_a_time.acquire(blocking=False):
            return waiting(request, as_of)
        try:
            page = plan_once(key, sheet.content, as_of)
        except FaultsFound as found:
            return sheets_screen(request, list(found.faults), as_of, status=422)
        except SolverFailed as failed:
            return sheets_screen(request, [no_plan(failed)], as_of, status=422)
        finally:
            _one_plan_at_a_time.release()
    return render_page(request, "exchange/sowing.html", {"page": page}, partial="exchange/_sowing.html")


def plan_once(key: str, packed: bytes, as_of: date) -> SowingPage:
    return desk.once(key, ("plan", as_of), lambda: make_sowing_page(plan_sowings(read_bundle(packed), as_of)))


def no_plan(failed: SolverFailed) -> Fault:
    said = _("No plan was found: %(why)s.") % {"why": failed}
    return Fault("plan", None, "", said, _("Nothing was changed; try again."))
