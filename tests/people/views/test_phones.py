"""The phones let in."""

import re

import pytest
from django.test import Client

from farmops.people.models import Phone
from tests.people.door import TODAY, person, phone, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(db):
    return signed_in(person("Odile", "grower", has_account=True))


def shown(response):
    rows = re.findall(r"<li>(.*?)</li>", response.content.decode(), re.S)
    return [" ".join(re.sub(r"<[^>]+>", " ", row).split()) for row in rows]


def test_a_link_lets_one_phone_in_and_stop_keeps_it_out(office, settings):
    settings.PHONES_AT, settings.TIME_ZONE = ["http://192.168.1.20:8000"], "America/New_York"
    page = office.post("/phones/")
    link = re.search(r'class="hand-on">(.*?)<', page.content.decode())[1]
    assert re.fullmatch(r"http://192\.168\.1\.20:8000/let-in/[a-z2-9]{4}(-[a-z2-9]{4}){3}/", link)
    other = Client()
    other.post(link.removeprefix("http://192.168.1.20:8000"), {"called": "Van", "until_on": "2026-10-31"})
    assert other.get("/who-works/").status_code == 200
    assert shown(office.get("/phones/")) == ["Van until Sat 31 Oct 2026 · let in by Odile Stop Van"]
    assert office.post(f"/phones/{Phone.objects.get().pk}/stop/")["Location"] == "/phones/"
    assert other.get("/who-works/").status_code == 302
    assert shown(office.get("/phones/")) == ["Van stopped Mon 4 May 2026 09:00"]


@pytest.mark.parametrize(("at", "warned"), [([], True), (["http://192.168.1.20:8000"], False)])
def test_it_says_when_no_phone_can_reach_this_computer(office, settings, at, warned):
    settings.PHONES_AT = at
    words = "Phones cannot reach this computer yet"
    assert (words in office.get("/phones/").content.decode()) is warned


@pytest.mark.parametrize("phones", [3, 300])
def test_the_list_asks_as_often_for_many_as_for_few(office, phones, django_assert_num_queries):
    let = [
        Phone(token_hash=str(number), called=f"Phone {number}", let_in_at="2026-05-04T12:00Z", until_on=TODAY)
        for number in range(phones)
    ]
    Phone.objects.bulk_create(let)
    with django_assert_num_queries(6):
        assert len(shown(office.get("/phones/"))) == phones


def test_a_phone_does_not_let_others_in():
    person("Odile", "grower", has_account=True)
    assert phone(person("Ines")).post("/phones/").status_code == 403
