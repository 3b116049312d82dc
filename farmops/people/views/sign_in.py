"""Signing in and out. A form that was sent meanwhile stays with whoever signs in."""

from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from farmops import clock
from farmops.people.access import asker_of, open_to_all
from farmops.people.check_password import TooOften, check_password
from farmops.people.forms import SignInForm
from farmops.people.kept_form import KeptForm, carried_in, own_address
from farmops.people.middleware import forget_person, remember_person
from farmops.people.models import Person
from farmops.people.not_let_in import NotLetIn
from farmops.people.views.ask_who import send_again_page, sign_in_page


@open_to_all
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    given = request.POST if request.method == "POST" else request.GET
    kept, then = carried_in(request.POST, request), own_address(request, given.get("next"))
    if request.method == "GET":
        return sign_in_page(request, then=then)
    form, status = SignInForm(request.POST), 422
    if form.is_valid():
        try:
            person = check_password(**form.cleaned_data, address=request.META.get("REMOTE_ADDR", ""), now=clock.now())
        except NotLetIn as no:
            form.add_error(None, str(no))
            status = 429 if isinstance(no, TooOften) else 422
        else:
            return welcome(request, person, kept=kept, then=then)
    return sign_in_page(request, form=form, kept=kept, then=then, status=status)


@open_to_all
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    phone = asker_of(request).phone
    logout(request)
    response = HttpResponseRedirect(reverse("sign-in" if phone is None else "who-works"))
    forget_person(response)
    return response


def welcome(request: HttpRequest, person: Person, *, kept: KeptForm | None = None, then: str = "") -> HttpResponse:
    """Signed in: on to where one wanted to go, or back to the form that was sent. A phone remembers who it is."""
    phone = asker_of(request).phone
    login(request, person.account, backend="django.contrib.auth.backends.ModelBackend")
    request.person, request.has_password = person, True  # type: ignore[attr-defined]  # ours
    response = send_again_page(request, kept) if kept else HttpResponseRedirect(then or "/", status=303)
    if phone is not None:
        remember_person(response, phone, person, clock.today())
    return response
