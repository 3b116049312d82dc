"""A grower begins by hand: the farm, spaces, a variety like another, an item; a slip is put right, one is undone."""

import re

import pytest
from django.test import Client
from playwright.sync_api import Page, expect

from tests.browser.test_farm_sheets import signed_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def fill(page: Page, *boxes: tuple[str, str]) -> None:
    for label, text in boxes:
        page.get_by_label(label, exact=True).first.fill(text)


def add(page: Page, address: str, button: str, *boxes: tuple[str, str]) -> None:
    page.goto(address)
    fill(page, *boxes)
    page.get_by_role("button", name=button).click()
    page.wait_for_load_state()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth") is True


def stage(page: Page, number: int, kind: str, days: str, per_place: str, survive: str) -> None:
    one = page.get_by_role("group", name=f"Stage {number}")
    one.get_by_label("Stands in").select_option(kind)
    for label, text in (("Days", days), ("Plants on a place", per_place), ("Survive, %", survive)):
        one.get_by_label(label, exact=True).fill(text)


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_a_farm_is_set_up_from_its_first_page(request: pytest.FixtureRequest, size: str, office_client: Client) -> None:
    page = signed_in(request, size, office_client)
    page.goto("/")
    page.get_by_role("link", name="Begin by hand").click()
    page.get_by_role("link", name="Begin The farm").click()
    fill(page, ("Name of the farm", "Two Brooks"), ("Latitude", "near Boston"), ("Time zone", "America/New_York"))
    page.get_by_label("Tuesday").check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("alert").first).to_contain_text("“near Boston” is no latitude.")
    expect(page.get_by_label("Tuesday")).to_be_checked()
    fill(page, ("Latitude", "42.3 N"))
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("listitem").filter(has_text="The farm")).to_contain_text("Two Brooks, 42.3 N")
    grounds(page)
    what_grows(page)
    undone(page)


def grounds(page: Page) -> None:
    kind, names, places = "Kind of space", "Their names or numbers", "Places in each"
    add(page, "/setting-up/spaces/", "Add them", (kind, "seedling shelf"), (names, "S-1 to S-4"), (places, "8"))
    add(page, "/setting-up/spaces/", "Add them", (kind, "finishing channel"), (names, "F-01 to F-20"), (places, "18"))
    expect(page.get_by_role("heading", level=2).last).to_contain_text("360 of 360 places free")


def what_grows(page: Page) -> None:
    name, crop = "Name of the variety", "Crop"
    add(page, "/varieties/new/", "Add it", (name, "green butterhead"), (crop, "lettuce"))
    page.get_by_role("link", name="Its schedule green butterhead").click()
    stage(page, 1, "seedling shelf", "21", "72", "92")
    stage(page, 2, "finishing channel", "28", "1", "95")
    fill(page, ("Cut in", "head"), ("So much from one plant", "1"))
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#messages")).to_contain_text("seedling shelf 21 → finishing channel 28 days")
    add(page, "/varieties/new/", "Add it", (name, "red oakleaf"), (crop, "lettuce"))
    page.get_by_role("link", name="Its schedule red oakleaf").click()
    page.get_by_role("button", name="Like this one").click()
    expect(page.get_by_role("group", name="Stage 2").get_by_label("Days", exact=True)).to_have_value("28")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("red oakleaf")


def undone(page: Page) -> None:
    page.goto("/items/new/")
    fill(page, ("Name of the item", "butterhead"), ("Sold by the", "head"), ("Days it keeps after cutting", "7"))
    page.get_by_label("Variety", exact=True).first.select_option("green butterhead")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("listitem")).to_contain_text("butterhead head")
    page.goto("/day-book/")
    page.get_by_role("link", name=re.compile("Take back.*butterhead is sold by the head")).first.click()
    page.get_by_role("button").last.click()
    page.goto("/items/")
    expect(page.get_by_text("No item yet.")).to_be_visible()
