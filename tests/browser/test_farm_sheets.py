"""A grower drops wrong sheets, puts one right, reads them in, takes them back; and takes all sheets along."""

import re
import zipfile
from pathlib import Path

import pytest
from django.test import Client
from playwright.sync_api import Page, expect

from tests.exchange.grown_farm import write_grown, write_only

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_sheets_go_in_come_back_and_are_taken_along(
    request: pytest.FixtureRequest, size: str, tmp_path: Path, office_client: Client
) -> None:
    page = signed_in(request, size, office_client)
    wrong = write_grown(tmp_path / "wrong", walks="planting,day,ready\nP-1,2026-04-30,many")
    page.goto("/")
    page.get_by_role("link", name="Drop my farm's sheets").click()
    page.get_by_label("Drop the sheets here, all together").set_input_files(sorted(wrong.iterdir()))
    page.get_by_role("button", name="See what they would do").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Read these sheets in?")
    expect(page.get_by_role("list", name="To put right").get_by_role("listitem")).to_contain_text("row 2, ready")
    right = write_only(tmp_path / "right", walks="planting,day,ready\nP-1,2026-04-30,30")
    page.get_by_label("Drop the corrected sheets here").set_input_files(right / "walks.csv")
    page.get_by_role("button", name="See what they would do").click()
    page.get_by_role("button", name="Read in 57 rows").click()
    expect(page.locator("#messages")).to_contain_text("Read 57 rows from sheets: farm 1")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth") is True
    with page.expect_download() as taken:
        page.get_by_role("link", name="The farm's sheets (.zip)").click()
    with zipfile.ZipFile(taken.value.path()) as archive:
        assert len(archive.read("plantings.csv").splitlines()) == 4  # heading and three
    page.goto("/day-book/")
    page.get_by_role("link", name=re.compile("^Take back")).click()
    page.get_by_role("button", name="Take it back").click()
    expect(page.locator("#messages")).to_contain_text("Taken back: Read 57 rows from sheets: farm 1")


def signed_in(request: pytest.FixtureRequest, size: str, office_client: Client) -> Page:
    """A browser of some size that is let in as the office is."""
    page: Page = request.getfixturevalue(size)
    (session,) = office_client.cookies.values()
    address = request.getfixturevalue("live_server").url
    page.context.add_cookies([{"name": session.key, "value": session.value, "url": address}])
    return page
