"""A page and its bare likeness."""

from dataclasses import replace
from datetime import date

import pytest

from farmops.proving.speed.bare import NotCaught, bare_view, is_the_same, values_of
from farmops.proving.speed.pages import find_pages
from farmops.proving.speed.worker import counting
from tests.planning.small_farm import a_place, a_planting, a_variety, moved
from tests.proving.speed.browsers import browsers

pytestmark = pytest.mark.django_db


PAGES = ("due-now", "plantings", "planting", "pick-crop", "people")


@pytest.fixture
def found(phone_client, office_client):
    a_place()
    moved(a_planting(a_variety()).stays.get(), "N-1", 36, date(2026, 3, 30))
    asked = browsers(phone_client, office_client)
    return asked, find_pages(asked, PAGES).pages


def test_the_bare_page_says_the_same_and_asks_for_nothing_of_its_own(found):
    asked, pages = found
    assert sorted(pages) == sorted(PAGES)
    for page in pages.values():
        check_likeness(page, asked)


def check_likeness(page, asked):
    browser = asked[page.browser]
    caught = values_of(page, browser)
    with counting() as real:
        answer = browser.get(page.address)
    with bare_view(page, caught), counting() as bare:
        likeness = browser.get(page.address)
    assert is_the_same(answer, likeness)
    assert [sql for sql in bare if "growing_" in sql or "journal_" in sql] == []
    assert len(bare) < len(real)
    assert len(browser.get(page.address).body) == len(answer.body)


def test_the_bare_page_opens_for_nobody_else(found):
    asked, pages = found
    caught = values_of(pages["people"], asked["office"])
    with bare_view(pages["people"], caught):
        assert asked["phone"].get(pages["people"].address).status == 302


def test_an_answer_that_is_made_otherwise_is_not_caught(found):
    asked, pages = found
    with pytest.raises(NotCaught, match="not made from a template"):
        values_of(replace(pages["people"], address="/sowings/blank-sheets.zip"), asked["office"])
