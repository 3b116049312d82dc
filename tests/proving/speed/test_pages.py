"""Pages found by the names of their addresses."""

from datetime import date

import pytest
from django.urls import get_resolver

from farmops.proving.speed.pages import NOT_OF_RECORDS, a_planting, find_pages, patterns, press
from tests.planning.small_farm import a_place, a_variety, moved
from tests.planning.small_farm import a_planting as sown
from tests.proving.speed.browsers import browsers

pytestmark = pytest.mark.django_db


def test_pages_of_the_planting_that_stands_in_most_places(phone_client, office_client):
    a_place()
    first = sown(a_variety())
    moved(first.stays.get(), "N-1", 36, date(2026, 3, 30))
    names = ("due-now", "planting", "space", "people", "stall", "undo-entry", "sign-out")
    found = find_pages(browsers(phone_client, office_client), names)
    addresses = {name: page.address for name, page in found.pages.items()}
    assert a_planting() == first
    assert (addresses["due-now"], addresses["planting"]) == ("/", f"/plantings/{first.code}/")
    assert addresses["space"] in {"/spaces/S-1/", "/spaces/N-1/"}
    assert (found.pages["due-now"].browser, found.pages["people"].browser) == ("phone", "office")
    assert found.left_out["stall"] == "the farm has nothing to show there"
    assert found.left_out["undo-entry"] == "nothing is known for number of its address"
    assert found.left_out["sign-out"] == "no page: the office gets 405 text/html; charset=utf-8"


def test_an_address_of_the_farm_is_a_page_or_it_is_said_why_not(phone_client, office_client):
    found = find_pages(browsers(phone_client, office_client))
    names = {str(one.name) for one in patterns(get_resolver())}
    assert {*found.pages, *found.left_out} == names - NOT_OF_RECORDS
    assert names >= NOT_OF_RECORDS


def test_what_is_worked_out_by_a_button_is_timed(phone_client, office_client):
    a_place()
    assert press("pick-list", browsers(phone_client, office_client)["office"]) > 0
    with pytest.raises(ArithmeticError, match="answered with 422"):
        press("look-back-worked-out", browsers(phone_client, office_client)["office"])


def test_an_empty_farm_has_no_planting_to_show(phone_client, office_client):
    names = ("planting", "move-plants", "space")
    found = find_pages(browsers(phone_client, office_client), names)
    assert [found.left_out[name] for name in names] == ["the farm has nothing to show there"] * 3
    assert a_planting() is None
