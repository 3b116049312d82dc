"""The pages behind links that work once: the first account, a person's password, a phone."""

from datetime import date

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from farmops import clock
from farmops.people.access import open_to_all
from farmops.people.forms import FirstAccountForm, PasswordForm, PhoneForm
from farmops.people.let_in import Purpose, let_phone_in, make_account, make_first_account, open_link
from farmops.people.middleware import remember_phone
from farmops.people.not_let_in import NotLetIn
from farmops.people.views.sign_in import welcome

SHORTEST_SEASON = 60  # days; a phone let in later than that before the year's end is meant for the next season


@open_to_all
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def first_account(request: HttpRequest, secret: str) -> HttpResponse:
    link = open_link(secret, Purpose.FIRST_ACCOUNT, clock.now())
    form = FirstAccountForm(request.POST if request.method == "POST" else None)
    if link and form.is_valid():
        try:
            person = make_first_account(secret=secret, now=clock.now(), **form.cleaned_data)
        except NotLetIn as no:
            form.add_error(None, str(no))
        else:
            return welcome(request, person, then=reverse("people"))
    return _link_page(request, "people/first_account.html", {"form": form, "link": link})


@open_to_all
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def account(request: HttpRequest, secret: str) -> HttpResponse:
    link = open_link(secret, Purpose.ACCOUNT, clock.now())
    form = PasswordForm(request.POST if request.method == "POST" else None)
    if link and form.is_valid():
        try:
            person = make_account(secret=secret, now=clock.now(), **form.cleaned_data)
        except NotLetIn as no:
            form.add_error(None, str(no))
        else:
            return welcome(request, person)
    return _link_page(request, "people/account.html", {"form": form, "link": link})


@open_to_all
@never_cache
@require_http_methods(["GET", "POST"])
def phone(request: HttpRequest, secret: str) -> HttpResponse:
    today, link = clock.today(), open_link(secret, Purpose.PHONE, clock.now())
    sent = request.POST if request.method == "POST" else None
    form = PhoneForm(sent, initial={"until_on": end_of_season(today)})
    if link and form.is_valid():
        try:
            let, phone_secret = let_phone_in(secret=secret, today=today, now=clock.now(), **form.cleaned_data)
        except NotLetIn as no:
            form.add_error(None, str(no))
        else:
            response = HttpResponseRedirect(reverse("who-works"), status=303)
            remember_phone(response, let, phone_secret, today)
            return response
    return _link_page(request, "people/phone_in.html", {"form": form, "link": link})


def end_of_season(today: date) -> date:
    """The year's last day; the next year's where this one is nearly over."""
    last = date(today.year, 12, 31)
    return last if (last - today).days >= SHORTEST_SEASON else date(today.year + 1, 12, 31)


def _link_page(request: HttpRequest, page: str, context: dict[str, object]) -> HttpResponse:
    form = context["form"]
    status = 410 if context["link"] is None else 422 if getattr(form, "errors", None) else 200
    return render(request, page, context, status=status)
