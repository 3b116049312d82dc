"""The head of a page."""

import pytest
from django.template import Context, Template
from django.test import Client

from farmops.people.models import Person, Phone, Role
from farmops.people.templatetags.door import LINKS

HEAD = Template(
    "{% load door %}{% head_links as links %}"
    "{% for one in links %}{{ one.words }}{% if one.is_here %}*{% endif %};{% endfor %}"
)


def head(rf, address="/", **who):
    request = rf.get(address)
    for name, value in who.items():
        setattr(request, name, value)
    return HEAD.render(Context({"request": request}))


def test_a_page_made_without_a_request_and_nobody_have_no_links(rf):
    assert (HEAD.render(Context({})), head(rf)) == ("", "")


def test_the_page_one_is_on_is_marked(rf):
    shown = head(rf, "/day-book/", phone=Phone(called="Shed"), person=Person(name="Ines", role=Role.CREW))
    assert [one for one in shown.split(";") if one.endswith("*")] == ["Day book*"]


def test_money_is_shown_to_whom_it_may_concern_before_the_password_too(rf):
    shed, links = Phone(called="Shed"), [str(words) for _, words in LINKS]
    money = {"Look back", "Notebook", "Sheets"}
    for role in Role:
        shown = head(rf, phone=shed, person=Person(name="Pia", role=role)).replace("*", "").split(";")[:-1]
        sees_all = role in {Role.GROWER, Role.OFFICE}
        assert shown == [words for words in links if sees_all or words not in money]


@pytest.mark.django_db
def test_the_demo_says_as_whom_one_acts(settings):
    settings.DEMO = True
    page = " ".join(Client().get("/people/").content.decode().split())
    assert "An invented farm, on days of its own. You act as its grower, Odile, without a password." in page
