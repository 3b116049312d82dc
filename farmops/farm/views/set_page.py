"""The one page of all plain forms of setting up: boxes to fill in, one button, back to what they belong to."""

from collections.abc import Callable, Mapping

from django.http import HttpRequest, HttpResponse

from farmops.farm.forms import JobForm
from farmops.farm.views.job_page import answer_job
from farmops.journal.deed import Done

Lists = Mapping[str, object]


def answer_set(
    request: HttpRequest,
    form: JobForm,
    deed: Callable[[], Done],
    *,
    title: str,
    button: str,
    back: str,
    then: str = "",
    context: Lists | None = None,
) -> HttpResponse:
    """Do the job of the form and go `then`, else `back`. `context` holds lists that boxes suggest."""
    return answer_job(
        request,
        form,
        deed,
        page="farm/set.html",
        partial="farm/_set.html",
        context={"title": title, "button": button, "address": request.get_full_path(), "back": back, **(context or {})},
        then=then or back,
    )
