"""The list of people, and one person's page."""

import re

import pytest
from django.test import Client

from farmops.people.models import Person
from tests.people.door import PASSWORD, heading, person, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(db):
    return signed_in(person("Odile", "grower", has_account=True))


def shown(response):
    rows = re.findall(r"<li>(.*?)</li>", response.content.decode(), re.S)
    return [" ".join(re.sub(r"<[^>]+>", " ", row).split()) for row in rows]


def test_somebody_new_stands_on_the_list(office):
    assert office.post("/people/", {"name": "Otto", "role": "seller"})["Location"] == "/people/"
    assert shown(office.get("/people/")) == ["Odile grower · has a password", "Otto seller"]


def test_a_name_that_is_taken_comes_back_as_typed(office):
    refused = office.post("/people/", {"name": "odile", "role": "packer"})
    assert (refused.status_code, Person.objects.count()) == (422, 1)
    assert "Somebody of that name works here already. Add a letter to tell them apart." in refused.content.decode()
    assert 'value="odile"' in refused.content.decode()


def do(office, one, do, **form):
    return office.post(f"/people/{one.pk}/", {"do": do, "name": one.name, "role": one.role, **form})


def test_rename_leave_come_back_and_erase(office):
    otto = person("Otto")
    assert do(office, otto, "save", name="Otto B.", role="packer").status_code == 303
    assert shown(office.get("/people/"))[1] == "Otto B. packer"
    assert do(office, otto, "leave").status_code == 303
    assert shown(office.get("/people/"))[1] == "Otto B. packer · no longer here"
    assert do(office, otto, "come back").status_code == 303
    assert shown(office.get("/people/"))[1] == "Otto B. packer"
    assert do(office, otto, "erase").status_code == 303
    assert shown(office.get("/people/")) == ["Odile grower · has a password"]
    assert Person.objects.get(pk=otto.pk).name == ""
    assert office.get(f"/people/{otto.pk}/").status_code == 404


def test_the_link_for_a_password_is_shown_once_and_works(office):
    otto = person("Otto")
    page = do(office, otto, "link")
    link = re.search(r'class="hand-on">(.*?)<', page.content.decode())[1]
    assert link.startswith("http://testserver/account/")
    assert "hand-on" not in office.get(f"/people/{otto.pk}/").content.decode()
    assert Client().post(link.removeprefix("http://testserver"), {"password": PASSWORD}).status_code == 303


def test_where_phones_reach_this_computer_links_carry_that_address(office, settings):
    settings.PHONES_AT = ["http://192.168.1.20:8000", "http://10.0.0.2:8000"]
    page = do(office, person("Otto"), "link")
    assert re.search(r'class="hand-on">(.*?)/account/', page.content.decode())[1] == "http://192.168.1.20:8000"


def test_the_last_grower_is_kept_and_the_page_says_why(office):
    odile = Person.objects.get()
    for deed in ("leave", "erase"):
        refused = do(office, odile, deed)
        assert (refused.status_code, heading(refused)) == (422, "Odile")
        words = "This is the last grower with an account. Give another grower one first."
        assert words in refused.content.decode()
    assert do(office, odile, "save", role="crew").status_code == 422
    assert Person.objects.get().role == "grower"


def test_the_office_cannot_make_itself_a_growers_password(office):
    odile, office = Person.objects.get(), signed_in(person("Pia", "office", has_account=True))
    for deed in ("link", "leave", "erase", "save"):
        refused = do(office, odile, deed)
        assert (refused.status_code, "hand-on" in refused.content.decode()) == (422, False)
        assert "Only a grower changes what a grower may do. Ask one." in refused.content.decode()
    assert Person.objects.get(pk=odile.pk).name == "Odile"


def test_a_form_that_says_nothing_to_do_does_nothing(office):
    otto = person("Otto")
    assert do(office, otto, "dance", name="X").status_code == 200
    assert Person.objects.get(pk=otto.pk).name == "Otto"


@pytest.mark.parametrize("people", [3, 300])
def test_the_list_asks_as_often_for_many_as_for_few(office, people, django_assert_num_queries):
    for number in range(people - 1):
        person(f"Hand {number}")
    with django_assert_num_queries(5):
        assert len(shown(office.get("/people/"))) == people
