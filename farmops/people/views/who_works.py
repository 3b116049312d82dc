"""Who is working: one touch on a name."""

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.middleware.csrf import rotate_token
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.people.access import asker_of, let_in
from farmops.people.kept_form import carried_in, own_address
from farmops.people.middleware import remember_person
from farmops.people.models import Person
from farmops.people.not_let_in import NotLetIn
from farmops.people.views.ask_who import send_again_page, who_page
from farmops.people.working import choose


@let_in
@require_http_methods(["GET", "POST"])
def who_works(request: HttpRequest) -> HttpResponse:
    given = request.POST if request.method == "POST" else request.GET
    then, phone = own_address(request, given.get("next")), asker_of(request).phone
    if request.method == "GET" or phone is None:
        return who_page(request, then=then)
    kept = carried_in(request.POST, request)
    try:
        person = choose(_number(request.POST.get("person")))
    except NotLetIn as no:
        return who_page(request, kept=kept, then=then, refusal=str(no), status=422)
    work_as(request, person)
    response = send_again_page(request, kept) if kept else HttpResponseRedirect(then or "/", status=303)
    remember_person(response, phone, person, clock.today())
    return response


def work_as(request: HttpRequest, person: Person) -> None:
    """Who was signed in is out, and forms opened as somebody else are asked about before they are taken."""
    before = asker_of(request).person
    if before is None or before.pk != person.pk:
        logout(request)
        rotate_token(request)
        request.has_password = False  # type: ignore[attr-defined]  # ours
    request.person = person  # type: ignore[attr-defined]  # ours


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 12 else 0
