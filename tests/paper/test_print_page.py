"""One way to answer with a paper: as a file, or as a page to print from the screen."""

from datetime import date

import pytest
from django.test import RequestFactory

from farmops.farm.models import Farm
from farmops.paper.print_page import print_page
from tests.paper.printed import SIZES, too_near, words_of
from tests.planning.small_farm import a_place

pytestmark = pytest.mark.django_db


def printed(kind="pdf", **other):
    return print_page(RequestFactory().get("/"), "paper/paper.html", {}, kind=kind, name="nothing", **other)


@pytest.mark.parametrize("size", SIZES)
def test_it_is_the_farms_own_paper(size):
    a_place()
    Farm.objects.update(paper=size)
    assert too_near(printed(), size) == []


@pytest.mark.parametrize(("is_a4", "size"), [(True, "a4"), (False, "letter")])
def test_or_the_one_asked_for(is_a4, size):
    assert too_near(printed(is_a4=is_a4), size) == []


def test_the_file_has_its_name_and_the_page_a_button():
    assert printed()["Content-Disposition"] == 'inline; filename="nothing.pdf"'
    assert printed("page").content.decode().count("data-print") == 1


def test_what_cannot_be_drawn_is_said():
    page = {"read_line": "🥬", "last_day": date(2026, 5, 4)}
    answer = print_page(RequestFactory().get("/"), "exchange/notebook_paper.html", {"page": page}, kind="pdf", name="n")
    assert "1 sign in these names cannot be printed and stands as □?" in words_of(answer)[0]
