"""The first screen: what is to do now."""

from django.contrib import messages
from django.contrib.messages.storage.base import BaseStorage
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from farmops import clock
from farmops.planning.due_lines import due_lines, next_harvest
from farmops.planning.due_now import due_now
from farmops.web.pages import render_page


@require_GET
def due(request: HttpRequest) -> HttpResponse:
    found = due_now(clock.today())
    context = {
        "due": found,
        "lines": due_lines(found),
        "harvest_on": None if found.has_list else next_harvest(found.today),
        "is_told": found.done.newest is not None and _is_told(request, found.done.newest.said),
    }
    return render_page(request, "planning/due_now.html", context, partial="planning/_due_now.html")


def _is_told(request: HttpRequest, words: str) -> bool:
    """Whether this page tells it at its top anyway."""
    told = messages.get_messages(request)
    is_told = words in {str(one) for one in told}
    if isinstance(told, BaseStorage):
        told.used = False  # reading them here does not show them
    return is_told
