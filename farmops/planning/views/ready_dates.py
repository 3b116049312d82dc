"""How far off ready dates were: by variety, and the plantings behind it."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.planning.ready_dates_page import off_in_words, ready_dates
from farmops.web.pages import render_page


@require_GET
def dates(request: HttpRequest) -> HttpResponse:
    page, of = ready_dates(clock.today()), request.GET.get("of", "")
    line = page.of(of)
    rows = [(one, off_in_words(one)) for one in line.past] if line is not None else []
    context = {"page": page, "of": of, "line": line, "rows": rows}
    return render_page(request, "planning/ready_dates.html", context, partial="planning/_ready_dates.html")
