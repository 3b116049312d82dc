"""The one page of all plain forms of selling: boxes to fill in, one button, back to the list they belong to."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from farmops.farm.forms import JobForm
from farmops.farm.views.job_page import answer_job
from farmops.journal.deed import Done


def answer_form(
    request: HttpRequest,
    form: JobForm,
    deed: Callable[[], Done],
    *,
    title: str,
    button: str,
    address: str,
    back: str,
) -> HttpResponse:
    """Do the job of the form and go `back`; without a `button` the page offers change and end."""
    return answer_job(
        request,
        form,
        deed,
        page="selling/order_form.html",
        partial="selling/_order_form.html",
        context={"title": title, "button": button, "address": address, "back": back},
        then=back,
    )
