"""Pages asked as a browser asks."""

import pytest
from django.urls import reverse

from farmops.people.models import Person
from farmops.proving.speed.asking import Browser
from tests.proving.speed.browsers import browsers

pytestmark = pytest.mark.django_db


def test_it_gets_what_a_browser_gets(phone_client, office_client):
    asked = browsers(phone_client, office_client)
    ours, theirs = asked["phone"].get("/day-book/"), phone_client.get("/day-book/")
    assert (ours.status, ours.is_page, len(ours.body)) == (200, True, len(theirs.content))


def test_what_is_not_for_a_phone_is_for_the_office(phone_client, office_client):
    asked = browsers(phone_client, office_client)
    assert [asked[who].get(reverse("people")).status for who in ("phone", "office")] == [302, 200]


def test_a_form_it_sends_is_taken(phone_client, office_client):
    office = browsers(phone_client, office_client)["office"]
    answer = office.post(reverse("people"), {"name": "Pia", "role": "packer"})
    assert (answer.status, Person.objects.filter(name="Pia").count()) == (303, 1)


def test_who_has_no_cookies_is_asked_to_sign_in(office_client):
    answer = Browser({}).get("/day-book/")
    assert (answer.status, answer.headers["location"]) == (302, "/sign-in/?next=%2Fday-book%2F")
