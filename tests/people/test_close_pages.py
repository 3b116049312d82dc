"""Closed by default."""

import pytest
from django.http import HttpResponse
from django.test import Client

from farmops.people.access import Asker, open_to_all, with_password
from farmops.people.close_pages import close_by_default
from farmops.people.models import Person, Role
from tests.people.door import person

pytestmark = pytest.mark.django_db


def answered(request, view, kind="text/html"):
    """What the middleware makes of a request for `view`."""
    door = close_by_default(lambda request: HttpResponse("made", content_type=kind))
    return door.process_view(request, view, (), {}) or door(request)


def test_a_view_nobody_thought_about_is_closed(rf):
    person("Odile", "grower", has_account=True)
    assert answered(rf.get("/new/"), lambda request: HttpResponse("made"))["Location"] == "/sign-in/?next=%2Fnew%2F"
    assert answered(rf.get("/new/"), open_to_all(lambda request: HttpResponse("made"))).content == b"made"


@pytest.mark.parametrize(("kind", "kept"), [("text/html; charset=utf-8", "no-store"), ("application/pdf", None)])
def test_money_pages_are_not_stored_but_their_papers_may_be(rf, kind, kept):
    request = rf.get("/money/")
    request.person, request.has_password = Person(name="Odile", role=Role.GROWER), True
    assert answered(request, with_password(lambda request: None), kind).get("Cache-Control") == kept


def test_every_page_of_the_site_goes_through_it(settings):
    assert settings.MIDDLEWARE[-1] == "farmops.people.close_pages.close_by_default"
    assert Client().get("/day-book/").status_code == 403
    assert Asker(None, None, False, True).may_see_money is False
