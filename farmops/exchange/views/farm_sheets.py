"""The farm's sheets: drop some to be read in, see what they would do, read them in; take all of them along."""

from collections.abc import Sequence

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods
from django_htmx.http import HttpResponseClientRedirect

from farmops import clock
from farmops.exchange.desk import Sheet, desk
from farmops.exchange.dropped_sheets import csv_files
from farmops.exchange.farm_sheets import bundle, files_of, folder_of
from farmops.exchange.read_sheets.said import notices_of
from farmops.exchange.read_sheets.take_in import Once, read_sheets
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets_to_take import sheets_to_take
from farmops.exchange.take_back.take_back import take_back
from farmops.exchange.views.sheets_page import look_at
from farmops.farm.days import the_farm
from farmops.farm.forms import JobForm
from farmops.farm.views.job_page import answer_job, saying_of
from farmops.journal.deed import Done
from farmops.journal.models import READING, Entry, Job
from farmops.journal.refusal import Refused
from farmops.people.access import with_password
from farmops.planning.rows import Fault, FaultsFound
from farmops.web.pages import render_page

MOST_READINGS = 20  # listed; an older one is found in the day book


@with_password
@require_http_methods(["GET", "POST"])
def farm_sheets(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return drop_screen(request)
    return dropped(request, {})


def drop_screen(request: HttpRequest, faults: Sequence[Fault] = (), *, status: int = 200) -> HttpResponse:
    context = {"faults": faults, "sheets": SHEETS, "farm": the_farm(), "readings": readings()}
    partial = "exchange/_farm_sheets.html"
    return render_page(request, "exchange/farm_sheets.html", context, partial=partial, status=status)


def readings() -> QuerySet[Entry]:
    """The last readings, newest first."""
    read = Entry.objects.filter(job=Job.READ, once_key__startswith=READING)
    # A hexadecimal number follows: between these two the index of the keys finds it among the entries of ten years.
    read = read.filter(once_key__gte=READING + "0", once_key__lt=READING + "g")
    return read.select_related("by", "corrected_by").order_by("-pk")[:MOST_READINGS]


def dropped(request: HttpRequest, before: dict[str, bytes]) -> HttpResponse:
    """Put what was dropped on the desk, in place of sheets of the same names dropped before, and go to it."""
    files = [file for file in request.FILES.getlist("sheets") if isinstance(file, UploadedFile)]
    try:
        given = csv_files([(file.name or "sheet.csv", file.read()) for file in files])
        new = files_of(bundle(given))
        packed = bundle({**before, **new})
    except FaultsFound as found:
        return drop_screen(request, found.faults, status=422)
    address = reverse("dropped-sheets", args=[desk.put(packed, "sheets").key])
    return HttpResponseClientRedirect(address) if request.headers.get("HX-Request") else HttpResponseRedirect(address)


@with_password
@require_http_methods(["GET", "POST"])
def dropped_sheets(request: HttpRequest, key: str) -> HttpResponse:
    sheet = desk.get(key)
    if sheet is None or not isinstance(sheet.content, bytes):
        gone = Fault("sheets", None, "", _("These sheets are no longer in memory."), _("Drop them in once more."))
        return drop_screen(request, [gone], status=404 if request.method == "GET" else 422)
    if request.FILES:
        return dropped(request, files_of(sheet.content))
    packed = sheet.content
    return answer_job(
        request,
        JobForm(request.POST if request.method == "POST" else None),
        lambda: read_in(request, sheet),
        page="exchange/dropped_sheets.html",
        partial="exchange/_dropped_sheets.html",
        context={"key": key, "look": SimpleLazyObject(lambda: look_at(packed, clock.now()))},
        then=reverse("farm-sheets"),
    )


def read_in(request: HttpRequest, sheet: Sheet) -> Done:
    """One reading, all or nothing; the same form again is answered as the first time."""
    once = Once(request.POST["once"], sheet.key)
    content = sheet.content if isinstance(sheet.content, bytes) else b""
    with folder_of(content) as folder:
        try:
            read = read_sheets(folder, now=clock.now(), by=getattr(request, "person", None), once=once)
        except FaultsFound as found:
            raise Refused(_("Nothing was read in. What to put right stands below.")) from found
    if read.entry is None:
        raise Refused(_("Nothing was read in: all of it is there already."))
    for notice in notices_of(read):
        messages.info(request, notice)
    return Done(read.entry)


@with_password
@require_http_methods(["GET", "POST"])
def take_back_reading(request: HttpRequest, number: int) -> HttpResponse:
    entry = get_object_or_404(Entry.objects.filter(job=Job.READ, once_key__startswith=READING), pk=number)
    form = JobForm(request.POST if request.method == "POST" else None)
    return answer_job(
        request,
        form,
        lambda: take_back(saying_of(request, day=entry.farm_day, corrects=entry)),
        page="exchange/take_back.html",
        partial="exchange/_take_back.html",
        context={"entry": entry, "added": list(entry.answer["added"].items())},
        then=reverse("farm-sheets"),
    )


@with_password
@require_GET
def all_sheets(request: HttpRequest) -> HttpResponse:
    response = HttpResponse(sheets_to_take(), content_type="application/zip")
    response["Content-Disposition"] = f'attachment; filename="farm-sheets-{clock.today():%Y-%m-%d}.zip"'
    response["Cache-Control"] = "no-store"
    return response
