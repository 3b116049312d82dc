"""The notebook's desk: hand over a notebook, or open a kept one."""

from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods
from django_htmx.http import HttpResponseClientRedirect

from farmops import clock
from farmops.exchange.desk import desk
from farmops.exchange.forms import DropForm
from farmops.exchange.models import KeptNotebook
from farmops.exchange.notebook import NotebookRefused, read_notebook
from farmops.farm.days import the_farm
from farmops.people.access import open_until_first_account, with_password
from farmops.web.pages import render_page
from farmops.web.templatetags.formats import in_words

LONGEST_REDIRECT = 12_000  # characters of an address that a browser is sent to
DEMO_NOTEBOOK: Path = settings.BASE_DIR / "fixtures" / "demo" / "market notebook 2026.xlsx"


def notebook_address(key: str, answers: str) -> str:
    """The notebook's page with its answers; without them where the address would be too long to be sent to."""
    address = reverse("notebook", args=[key])
    return f"{address}?{answers}" if answers and len(answers) <= LONGEST_REDIRECT else address


def start_screen(
    request: HttpRequest, form: DropForm, refusal: NotebookRefused | None = None, *, status: int = 200
) -> HttpResponse:
    kept = KeptNotebook.objects.newest_first().defer("content")
    context = {
        "form": form,
        "refusal": refusal,
        "kept": kept,
        "has_demo": DEMO_NOTEBOOK.exists(),
        "is_demo": settings.DEMO,
        "is_empty": the_farm() is None,
    }
    return render_page(request, "exchange/start.html", context, partial="exchange/_drop.html", status=status)


@with_password
@open_until_first_account
@require_GET
def start(request: HttpRequest) -> HttpResponse:
    return start_screen(request, DropForm())


@with_password
@open_until_first_account
@require_http_methods(["GET", "POST"])
def notebooks(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return start_screen(request, DropForm())
    form = DropForm(request.POST, request.FILES)
    if not form.is_valid():
        return start_screen(request, form, status=422)
    file = form.cleaned_data["sheet"]
    content = form.cleaned_data["pasted"] if file is None else file.read()
    name = _("Pasted on %(day)s") % {"day": in_words(clock.today())} if file is None else (file.name or "")[-120:]
    try:
        read_notebook(content, name)
    except NotebookRefused as refusal:
        return start_screen(request, form, refusal, status=422)
    address = notebook_address(desk.put(content, name).key, form.cleaned_data["answers"])
    return HttpResponseClientRedirect(address) if request.headers.get("HX-Request") else HttpResponseRedirect(address)


@with_password
@open_until_first_account
@require_GET
def demo(request: HttpRequest) -> HttpResponse:
    if not DEMO_NOTEBOOK.exists():
        raise Http404
    return HttpResponseRedirect(notebook_address(desk.put(DEMO_NOTEBOOK.read_bytes(), DEMO_NOTEBOOK.name).key, ""))
