"""Links that work once, and the pages behind them."""

from datetime import date, timedelta

import pytest
from django.test import Client

from farmops.people.let_in import make_link
from farmops.people.middleware import PHONE_COOKIE
from farmops.people.models import Person, Phone
from farmops.people.views.links import end_of_season
from tests.conftest import NOW
from tests.people.door import PASSWORD, heading, person

pytestmark = pytest.mark.django_db


def test_the_first_account_signs_its_grower_in_and_the_link_is_over():
    address, browser = f"/first/{make_link(purpose='first account', now=NOW)}/", Client()
    assert browser.get(address).status_code == 200
    poor = browser.post(address, {"name": "Odile", "password": "12345678"})
    assert (poor.status_code, Person.objects.count()) == (422, 0)
    assert 'value="Odile"' in poor.content.decode()
    assert "12345678" not in poor.content.decode()
    done = browser.post(address, {"name": "Odile", "password": PASSWORD})
    assert (done.status_code, done["Location"]) == (303, "/people/")
    assert browser.get("/people/").wsgi_request.person == Person.objects.get()
    assert Client().get(address).status_code == 410
    assert Client().post(address, {"name": "Eve", "password": PASSWORD}).status_code == 410
    assert Person.objects.count() == 1


def test_a_link_for_a_password_lets_its_person_in():
    otto = person("Otto")
    address, browser = f"/account/{make_link(purpose='account', person=otto, now=NOW)}/", Client()
    assert heading(browser.get(address)) == "A password for Otto"
    assert browser.post(address, {"password": "otto"}).status_code == 422
    assert browser.post(address, {"password": PASSWORD})["Location"] == "/"
    assert browser.get("/day-book/").wsgi_request.person == otto
    assert browser.get(address).status_code == 410


def test_a_phone_is_let_in_until_its_day():
    person("Odile", "grower", has_account=True)
    address, browser = f"/let-in/{make_link(purpose='phone', now=NOW)}/", Client()
    page = browser.get(address)
    assert 'value="2026-12-31"' in page.content.decode()
    past = browser.post(address, {"called": "Van", "until_on": "2026-05-03"})
    assert (past.status_code, 'value="Van"' in past.content.decode()) == (422, True)
    done = browser.post(address, {"called": "Van", "until_on": "2026-10-31"})
    assert (done.status_code, done["Location"]) == (303, "/who-works/")
    assert done.cookies[PHONE_COOKIE]["max-age"] == 181 * 24 * 60 * 60
    assert browser.get("/who-works/").status_code == 200
    assert (Phone.objects.get().called, Phone.objects.get().until_on) == ("Van", date(2026, 10, 31))
    assert Client().get(address).status_code == 410


@pytest.mark.parametrize("kind", ["first", "account", "let-in"])
def test_a_made_up_link_is_over_and_is_no_place_to_stay(kind):
    refused = Client().get(f"/{kind}/made-up/")
    assert refused.status_code == 410
    assert "This link was used, or its time is over." in refused.content.decode()
    assert "no-store" in refused["Cache-Control"]


def test_a_link_of_another_kind_does_not_fit():
    secret = make_link(purpose="phone", now=NOW)
    assert Client().get(f"/first/{secret}/").status_code == 410


def test_a_link_is_over_after_its_hour(time_machine):
    address = f"/let-in/{make_link(purpose='phone', now=NOW)}/"
    time_machine.move_to(NOW + timedelta(hours=1))
    assert Client().get(address).status_code == 410


@pytest.mark.parametrize(
    ("today", "last"),
    [
        (date(2026, 5, 4), date(2026, 12, 31)),
        (date(2026, 11, 1), date(2026, 12, 31)),
        (date(2026, 11, 2), date(2027, 12, 31)),
        (date(2026, 12, 31), date(2027, 12, 31)),
    ],
)
def test_a_season_ends_with_the_year_or_late_in_it_with_the_next(today, last):
    assert end_of_season(today) == last
