"""Signing in and out."""

import pytest
from django.test import Client

from farmops.people.models import WrongPassword
from tests.people.door import PASSWORD, heading, person, phone, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def odile(db):
    return person("Odile", "grower", has_account=True)


def sign_in(browser, password=PASSWORD, then=""):
    return browser.post("/sign-in/", {"name": "Odile", "password": password, "next": then})


@pytest.mark.usefixtures("odile")
@pytest.mark.parametrize("then", ["https://elsewhere.example/", "//elsewhere.example", "", "javascript:alert(1)"])
def test_one_is_never_sent_elsewhere(then):
    assert sign_in(Client(), then=then)["Location"] == "/"


@pytest.mark.usefixtures("odile")
def test_the_sixth_wrong_password_is_not_looked_at():
    browser = Client()
    assert [sign_in(browser, "wrong").status_code for _ in range(5)] == [422] * 5
    refused = sign_in(browser)
    assert refused.status_code == 429
    assert "Too many wrong passwords. Wait 10 minutes, then try again." in refused.content.decode()
    assert WrongPassword.objects.count() == 5
    assert browser.get("/people/").status_code == 302


def test_who_signs_in_on_a_phone_works_with_it_and_goes_on_working_when_the_session_is_over(odile):
    browser = phone(person("Ines"))
    sign_in(browser)
    assert browser.get("/people/").wsgi_request.person == odile
    del browser.cookies["sessionid"]
    assert browser.get("/day-book/").wsgi_request.person == odile
    assert browser.get("/people/").status_code == 302


def test_who_signs_out_works_no_more_on_this_phone(odile):
    browser = phone()
    sign_in(browser)
    assert browser.post("/sign-out/")["Location"] == "/who-works/"
    assert browser.get("/day-book/")["Location"] == "/who-works/?next=%2Fday-book%2F"
    elsewhere = signed_in(odile)
    assert elsewhere.post("/sign-out/")["Location"] == "/sign-in/"
    assert elsewhere.get("/day-book/").status_code == 302


@pytest.mark.usefixtures("odile")
def test_a_password_of_long_ago_lets_in_no_more(settings):
    browser = Client()
    sign_in(browser)
    assert browser.cookies["sessionid"]["max-age"] == settings.SESSION_COOKIE_AGE == 14 * 60 * 60


def test_a_new_password_ends_what_was_signed_in_elsewhere(odile):
    browser = signed_in(odile)
    assert browser.get("/people/").status_code == 200
    odile.account.set_password("another-one-entirely")
    odile.account.save()
    assert browser.get("/people/").status_code == 302


@pytest.mark.usefixtures("odile")
def test_an_empty_form_says_what_is_missing():
    refused = Client().post("/sign-in/", {})
    assert (refused.status_code, heading(refused)) == (422, "Sign in")
    assert WrongPassword.objects.count() == 0
