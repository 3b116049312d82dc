"""Browsers as they stand at the door, for tests of its pages."""

import re

from django.http import HttpResponse
from django.test import Client

from farmops.people.let_in import let_phone_in, make_account, make_link
from farmops.people.middleware import remember_person, remember_phone
from farmops.people.models import Person
from farmops.people.views.links import end_of_season
from tests.conftest import NOW

PASSWORD = "wet-gloves-at-dawn"
TODAY = NOW.date()
STOPPED = 299


def person(name, role="crew", *, has_account=False):
    """Somebody who works here, with the account if wanted."""
    made = Person.objects.create(name=name, role=role)
    if has_account:
        secret = make_link(purpose="account", person=made, now=NOW)
        made = make_account(secret=secret, password=PASSWORD, now=NOW)
    return made


def phone(chosen=None, **settings):
    """A phone that was let in, with somebody chosen on it or nobody."""
    secret = make_link(purpose="phone", now=NOW)
    let, cookie = let_phone_in(secret=secret, called="Shed", until_on=end_of_season(TODAY), today=TODAY, now=NOW)
    answer = HttpResponse()
    remember_phone(answer, let, cookie, TODAY)
    if chosen is not None:
        remember_person(answer, let, chosen, TODAY)
    browser = Client(**settings)
    browser.cookies.update(answer.cookies)
    return browser


def signed_in(who, browser=None):
    """A browser in which somebody signed in."""
    browser = browser or Client()
    browser.force_login(who.account)
    return browser


def stop_before_the_view(get_response):
    """The last middleware: what comes so far was let in, and nothing more is done."""

    def ask(request):
        return get_response(request)

    ask.process_view = lambda request, view, positional, named: HttpResponse(status=STOPPED)
    return ask


def fields(response):
    """Hidden fields of the page's last form, in order, as a browser would send them."""
    form = response.content.decode().rpartition("<form")[2]
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
    return [(name, _plain(value)) for name, value in found]


def field(response, name):
    """The value of one hidden field anywhere on the page."""
    return _plain(re.search(rf'name="{name}" value="([^"]*)"', response.content.decode())[1])


def heading(response):
    return re.search(r"<h1[^>]*>(.*?)</h1>", response.content.decode(), re.S)[1].strip()


def _plain(text):
    from html import unescape

    return unescape(text)
