"""The front door."""

import re

import pytest
from django.test import Client

from farmops.farm.models import Farm
from tests.people.door import heading, person, phone, signed_in

pytestmark = pytest.mark.django_db


def seen(browser) -> str:
    answer = browser.get("/")
    return answer.get("Location") or heading(answer)


def test_a_farm_begins_with_its_notebook_and_goes_on_with_what_is_due():
    assert seen(Client()) == "Read my market notebook"
    ines, odile = person("Ines"), person("Odile", "grower", has_account=True)
    browsers = [Client(), phone(), phone(ines), signed_in(odile)]
    to_sign_in, to_who_works = "/sign-in/?next=%2F", "/who-works/?next=%2F"
    assert [seen(one) for one in browsers] == [to_sign_in, to_who_works, "Due now", "Read my market notebook"]
    Farm.objects.create(name="Mill Bend (invented)", latitude="42.4")
    assert [seen(one) for one in browsers] == [to_sign_in, to_who_works, "Due now", "Due now"]


def test_the_head_shows_each_what_they_may_open():
    Farm.objects.create(name="Mill Bend (invented)", latitude="42.4")
    ines, odile = person("Ines"), person("Odile", "grower", has_account=True)

    def links(browser):
        page = browser.get("/who-works/").content.decode()
        nav = page.partition('<nav class="pages"')[2].partition("</nav>")[0]
        return list(dict.fromkeys(re.findall(r"<a [^>]*>(.*?)</a>", nav)))  # on a phone some stand behind "More"

    daily = ["Due now", "Pick list", "Market", "Sow", "Plants", "Cold room"]
    assert links(phone()) == [*daily, "The year", "Day book"]
    assert links(phone(ines)) == [*daily, "The year", "Day book"]
    assert (
        links(phone(odile))
        == links(signed_in(odile))
        == [*daily, "Look back", "The year", "Day book", "Notebook", "Sheets"]
    )
    assert links(Client()) == []
