"""Every page is closed unless its mark lets the asker in; what was typed is carried on to where it can be sent."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase

from farmops.people.access import Answer, Mark, asker_of, judge, mark_of
from farmops.people.views.ask_who import closed_answer


def close_by_default(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Judge before the view runs: one that nobody thought about is closed."""

    def ask(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        if getattr(request, "is_for_password", False) and response.get("Content-Type", "").startswith("text/html"):
            # A shared phone must not show money pages again by its "back" once somebody has signed out. Papers and
            # files are handed to other programs, some of which cannot open what may not be stored.
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    def before_view(
        request: HttpRequest, view: Callable[..., object], positional: object, named: object
    ) -> HttpResponse | None:
        request.is_for_password = mark_of(view) == Mark.OFFICE  # type: ignore[attr-defined]  # ours
        answer = judge(view, asker_of(request))
        return None if answer == Answer.YES else closed_answer(request, answer)

    ask.process_view = before_view  # type: ignore[attr-defined]  # where Django looks for it
    return ask
