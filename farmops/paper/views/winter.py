"""The winter plan on paper: four sheets for the wall, and for the bench a sheet for each month."""

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.paper.print_page import print_page
from farmops.planning.models import StoredAnswer
from farmops.planning.plan_words import how_good
from farmops.planning.stored_answers import stored
from farmops.planning.views.winter import FIRST_YEAR, LAST_YEAR
from farmops.planning.views.winter_paper import bench_months, wall_sheets

MAKE = {"wall": wall_sheets, "bench": bench_months}


@require_GET
def paper(request: HttpRequest, year: int, sheet: str, kind: str) -> HttpResponse:
    """Sheets of an ISO year from the plan that was worked out; without one, the page that works it out."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Http404(str(year))
    kept = stored(StoredAnswer.Kind.YEAR)
    if kept is None:
        return HttpResponseRedirect(f"{reverse('winter-plan')}?year={year}")
    context = {
        "year": year,
        "kept": kept,
        "sheets": MAKE[sheet](kept, year),
        "how_good": how_good(kept.answer["status"], kept.answer["gap"]),
        "now": clock.now(),
    }
    return print_page(request, f"paper/winter_{sheet}.html", context, kind=kind, name=f"{sheet}-{year}")
