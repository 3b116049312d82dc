"""The notebook's page: questions first, then the figures, on screen and on paper. All state stands in the address."""

from datetime import UTC, datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from farmops import clock
from farmops.exchange.desk import Sheet, desk
from farmops.exchange.figures import PREFIX
from farmops.exchange.forms import DropForm
from farmops.exchange.keep_notebook import forget_notebook, keep_notebook, open_kept
from farmops.exchange.models import KeptNotebook
from farmops.exchange.notebook import Answers, Notebook, NotebookRefused, read_notebook
from farmops.exchange.views.notebook_page import NotebookPage, column_lines, left_out, make_page, settled
from farmops.exchange.views.start import notebook_address
from farmops.paper.print_page import print_page
from farmops.people.access import open_until_first_account, with_password
from farmops.web.pages import render_page

LONGEST_ANSWER = 500  # characters of one answer
MOST_MARKETS, MOST_ITEMS = 60, 400  # more is a wrong column, not a farm


def sheet_on_desk(key: str) -> Sheet | None:
    """The sheet from memory, else from those kept."""
    sheet = desk.get(key)
    if sheet is None and (kept := open_kept(key=key)):
        sheet = desk.put(kept.content, kept.name)
    return sheet


def given_once(given: QueryDict) -> dict[str, str]:
    """What stands in the address, each name once: its last value that is not empty."""
    found = {name: [value for value in values if value.strip()] for name, values in given.lists()}
    return {name: values[-1][:LONGEST_ANSWER] for name, values in found.items() if values}


def answers_in(given: QueryDict) -> Answers:
    """What of the address answers questions about the sheet; figures are not part of it."""
    return Answers.of({name: value for name, value in given_once(given).items() if not name.startswith(PREFIX)})


def read_once(sheet: Sheet, answers: Answers) -> Notebook:
    return desk.once(sheet.key, ("read", answers), lambda: read_notebook(sheet.content, sheet.name, answers))


@with_password
@open_until_first_account
@require_GET
def notebook(request: HttpRequest, key: str) -> HttpResponse:
    sheet = sheet_on_desk(key)
    if sheet is None:
        form = DropForm(initial={"answers": request.GET.urlencode()})
        return render(request, "exchange/notebook_gone.html", {"form": form})
    answers = answers_in(request.GET)
    try:
        found = read_once(sheet, answers)
    except NotebookRefused as refusal:
        return refused(request, sheet, refusal)
    if found.open:
        return questions(request, sheet, found)
    if not found.records:
        return refused(request, sheet, nothing_left(found))
    is_kept = KeptNotebook.objects.filter(key=key).exists()
    if overfull := too_many(found):
        return refused(request, sheet, overfull)
    page = make_page(sheet, found, answers, given_once(request.GET), clock.today(), is_kept=is_kept)
    response = render_page(request, "exchange/notebook.html", {"page": page}, partial="exchange/_notebook.html")
    response["Cache-Control"] = "no-store"
    return response


def refused(request: HttpRequest, sheet: Sheet, refusal: NotebookRefused) -> HttpResponse:
    context = {"refusal": refusal, "sheet_name": sheet.name, "address": request.path}
    return render_page(request, "exchange/refused.html", context, partial="exchange/_refused.html", status=422)


def nothing_left(found: Notebook) -> NotebookRefused:
    """No row is left that says anything: why, and what to do."""
    why = "; ".join(left_out(found)) or _("there are no rows below the headings")
    return NotebookRefused(
        _("No market day is left to count: %(why)s.") % {"why": why},
        _("Answer again, or add what was brought and what came back to some rows."),
    )


def too_many(found: Notebook) -> NotebookRefused | None:
    """More markets or items than any farm has: most likely a wrong column was taken for them."""
    markets, items = ({getattr(record, name) for record in found.records} for name in ("market", "item"))
    for names, most, words in (
        (markets, MOST_MARKETS, _("The sheet names %(count)d markets, such as %(some)s.")),
        (items, MOST_ITEMS, _("The sheet names %(count)d items, such as %(some)s.")),
    ):
        if len(names) > most:
            some = ", ".join(f"“{name[:30]}”" for name in sorted(names)[:3])
            return NotebookRefused(
                words % {"count": len(names), "some": some},
                _("At most %(most)d can be reckoned with: check which column was taken for them.") % {"most": most},
            )
    return None


def questions(request: HttpRequest, sheet: Sheet, found: Notebook) -> HttpResponse:
    asked = {doubt.key for doubt in found.doubts}
    carried = [
        (name, value)
        for name, value in given_once(request.GET).items()
        if name not in asked and not name.startswith("column.")
    ]
    still_open = {doubt.key for doubt in found.open}
    lines = column_lines(found, answers_in(request.GET))
    context = {
        "open": found.open,
        "settled": settled(found),
        "columns": [line for line in lines if f"column.{line.field}" not in still_open],
        "carried": carried,
        "sheet_name": sheet.name,
        "address": request.path,
    }
    return render_page(request, "exchange/questions.html", context, partial="exchange/_questions.html")


def page_for_paper(request: HttpRequest, key: str) -> NotebookPage | None:
    sheet = sheet_on_desk(key)
    if sheet is None:
        return None
    answers = answers_in(request.GET)
    try:
        found = read_once(sheet, answers)
    except NotebookRefused:
        return None
    return make_page(sheet, found, answers, given_once(request.GET), clock.today()) if found.is_ready else None


@with_password
@open_until_first_account
@require_GET
def paper(request: HttpRequest, key: str, kind: str) -> HttpResponse:
    page = page_for_paper(request, key)
    if page is None:
        return HttpResponseRedirect(reverse("notebook", args=[key]) + f"?{request.GET.urlencode()}")
    is_a4 = request.GET.get("paper") == "a4"
    name = f"market-notebook-{page.last_day:%Y-%m-%d}"
    return print_page(request, "exchange/notebook_paper.html", {"page": page}, kind=kind, name=name, is_a4=is_a4)


@with_password
@open_until_first_account
@require_POST
def kept(request: HttpRequest, key: str) -> HttpResponse:
    if request.POST.get("do") == "forget":
        if forget_notebook(key=key):
            messages.success(request, _("Forgotten: it is no longer on this computer."))
        return HttpResponseRedirect(reverse("start"))
    answers = request.POST.get("answers", "")
    sheet = sheet_on_desk(key)
    if sheet is None:
        messages.error(request, _("It was not kept, because it is no longer in memory: drop it in once more."))
    else:
        keep_notebook(sheet=sheet, answers=answers, at=datetime.now(UTC))
        messages.success(request, _("Kept on this computer. You find it on the first screen."))
    return HttpResponseRedirect(notebook_address(key, answers))
