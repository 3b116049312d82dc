"""Who asks."""

from datetime import UTC, date, datetime

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from farmops.people.let_in import let_phone_in, make_link, stop_phone
from farmops.people.middleware import PERSON_COOKIE, PHONE_COOKIE, know_who_asks, remember_person, remember_phone
from farmops.people.models import Person

NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)


@pytest.fixture
def phone(db):
    link = make_link(purpose="phone", now=NOW)
    return let_phone_in(secret=link, called="Shed", until_on=date(2026, 5, 6), today=TODAY, now=NOW)


def seen(rf, **cookies):
    request = rf.get("/")
    request.COOKIES.update(cookies)
    know_who_asks(lambda _: HttpResponse())(request)
    return request.phone, request.person


def kept(phone, secret, person):
    response = HttpResponse()
    remember_phone(response, phone, secret, TODAY)
    remember_person(response, phone, person, TODAY)
    return response.cookies


def test_without_cookies_nobody_is_known_and_nothing_is_asked(rf):
    assert seen(rf) == (None, None)


def test_a_phone_and_who_works_with_it_are_known(rf, phone):
    ines = Person.objects.create(name="Ines")
    cookies = kept(*phone, ines)
    for name in (PHONE_COOKIE, PERSON_COOKIE):
        one = cookies[name]
        assert (one["httponly"], one["samesite"], one["max-age"]) == (True, "Lax", 3 * 24 * 60 * 60)
    assert seen(rf, **{name: one.value for name, one in cookies.items()}) == (phone[0], ines)


def test_a_stopped_phone_is_out_at_once(rf, phone):
    values = {name: one.value for name, one in kept(*phone, Person.objects.create(name="Ines")).items()}
    assert seen(rf, **values)[0] == phone[0]
    stop_phone(phone=phone[0], now=NOW)
    assert seen(rf, **values) == (None, None)


def test_a_phone_is_let_in_on_its_last_day_and_not_after(rf, phone, time_machine):
    values = {PHONE_COOKIE: phone[1]}
    time_machine.move_to(datetime(2026, 5, 6, 17, 0, tzinfo=UTC))
    assert seen(rf, **values)[0] == phone[0]
    time_machine.move_to(datetime(2026, 5, 7, 17, 0, tzinfo=UTC))
    assert seen(rf, **values) == (None, None)


def test_a_made_up_person_or_another_phones_is_not_believed(rf, phone):
    ines = Person.objects.create(name="Ines")
    link = make_link(purpose="phone", now=NOW)
    other = let_phone_in(secret=link, called="Van", until_on=date(2026, 5, 6), today=TODAY, now=NOW)
    value = kept(*phone, ines)[PERSON_COOKIE].value
    assert seen(rf, **{PHONE_COOKIE: other[1], PERSON_COOKIE: value}) == (other[0], None)
    assert seen(rf, **{PHONE_COOKIE: phone[1], PERSON_COOKIE: str(ines.pk)}) == (phone[0], None)
    assert seen(rf, **{PERSON_COOKIE: value}) == (None, None)


@pytest.mark.django_db
def test_who_signed_in_is_known():
    account = User.objects.create_user("Ines", password="x")
    ines = Person.objects.create(name="Ines", account=account)
    client = Client()
    client.force_login(account)
    assert client.get("/").wsgi_request.person == ines
