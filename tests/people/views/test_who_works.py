"""One touch on a name."""

import re

import pytest

from farmops.people.middleware import PERSON_COOKIE
from tests.people.door import heading, person, phone, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def odile(db):
    return person("Odile", "grower", has_account=True)


def names(response):
    return re.findall(r'<button name="person"[^>]*>(.*?)</button>', response.content.decode(), re.S)


@pytest.mark.usefixtures("odile")
def test_the_names_of_those_who_work_here_one_touch_and_on():
    person("Zoe").__class__.objects.filter(name="Zoe").update(works_here=False)
    ines, browser = person("ines"), phone()
    page = browser.get("/who-works/?next=/day-book/")
    assert names(page) == ["ines", "Odile"]
    done = browser.post("/who-works/", {"person": ines.pk, "next": "/day-book/"})
    assert (done.status_code, done["Location"]) == (303, "/day-book/")
    assert browser.get("/day-book/").wsgi_request.person == ines


@pytest.mark.usefixtures("odile")
@pytest.mark.parametrize("typed", ["999", "", "x", "²", "1" * 30])
def test_a_name_that_is_gone_is_told_and_nothing_else_is_chosen(typed):
    ines = person("Ines")
    browser = phone(ines)
    refused = browser.post("/who-works/", {"person": typed})
    assert (refused.status_code, heading(refused)) == (422, "Who is working?")
    assert "That person does not work here any more. Choose again." in refused.content.decode()
    assert browser.get("/day-book/").wsgi_request.person == ines


def test_choosing_somebody_else_ends_the_signed_in_ones_session(odile):
    ines = person("Ines")
    browser = signed_in(odile, phone(odile))
    browser.post("/who-works/", {"person": odile.pk})
    assert browser.get("/people/").status_code == 200
    browser.post("/who-works/", {"person": ines.pk})
    assert browser.get("/people/").status_code == 302
    assert browser.get("/day-book/").wsgi_request.person == ines


def test_without_a_phone_the_password_says_who_works(odile):
    browser, ines = signed_in(odile), person("Ines")
    page = browser.get("/who-works/")
    assert (names(page), "Sign out" in page.content.decode()) == ([], True)
    browser.post("/who-works/", {"person": ines.pk})
    assert PERSON_COOKIE not in browser.cookies
    assert browser.get("/day-book/").wsgi_request.person == odile


@pytest.mark.parametrize("more", [3, 300])
def test_the_page_asks_as_often_for_many_as_for_few(odile, more, django_assert_num_queries):
    for number in range(more - 2):
        person(f"Hand {number}")
    browser = phone(person("Ines"))
    with django_assert_num_queries(4):
        assert len(names(browser.get("/who-works/"))) == more
