"""From a sold-out time put right to the line of the sowing list it leads to, and on to sowing it."""

import re
from collections.abc import Generator
from datetime import UTC, datetime

import pytest
import time_machine
from django.test import Client
from playwright.sync_api import Page, expect

from tests.planning.sown_farm import a_sown_farm

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.real_time]


@pytest.fixture
def monday() -> Generator[None]:
    """Monday 4 May 2026, nine o'clock on the farm; the clock goes on."""
    with time_machine.travel(datetime(2026, 5, 4, 13, tzinfo=UTC), tick=True):
        yield


def work_out(page: Page) -> None:
    page.get_by_role("button", name=re.compile("^Work it out")).click()
    expect(page.get_by_role("status").get_by_text("Worked out from all that is written down.")).to_be_visible(
        timeout=60_000
    )


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def sign_in(page: Page, client: Client, address: str) -> None:
    (session,) = client.cookies.values()
    page.context.add_cookies([{"name": session.key, "value": session.value, "url": address}])


def put_right(page: Page, day: str, time: str) -> None:
    """From the look back to the day, and there to the time."""
    page.goto("/look-back/")
    work_out(page)
    page.get_by_text(re.compile("^Why ")).click()
    assert fits(page)
    page.get_by_role("link", name=day).click()
    page.get_by_text("5 min ago, more").click()
    page.get_by_label("Sold out at").fill(time)
    page.get_by_role("button", name="Sold out then").click()
    expect(page.get_by_role("status").get_by_text(f"butterhead lettuce sold out at {time}").first).to_be_visible()


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_a_time_put_right_changes_the_line_it_leads_to(
    request: pytest.FixtureRequest, monday: None, office_client: Client, size: str
) -> None:
    page: Page = request.getfixturevalue(size)
    sign_in(page, office_client, request.getfixturevalue("live_server").url)
    a_sown_farm()
    page.goto("/sowing-list/")
    work_out(page)
    wanted = "59.2 heads wanted in week 27 to week 28 for Quay; nothing else is there for them."
    expect(page.get_by_text(wanted)).to_be_visible()
    assert fits(page)
    put_right(page, "Sat 25 Apr", "09:00")
    page.goto("/sowing-list/")
    expect(page.get_by_text("1 entry since: work it out again.")).to_be_visible()
    work_out(page)
    expect(page.get_by_text(re.compile("^wanted 59.2 → 6[0-9.]+ heads$"))).to_be_visible()
    page.get_by_role("button", name=re.compile("start$")).click()
    expect(page).to_have_url(re.compile(r"/plantings/[^/]+/sow/\?next=/sowing-list/$"))
