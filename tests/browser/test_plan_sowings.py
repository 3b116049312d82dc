"""Drop the farm's sheets, read what to sow this week, open one line into its sum."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SHEETS = sorted((Path(__file__).resolve().parent.parent.parent / "fixtures" / "demo" / "sheets").glob("*.csv"))


def amount_in(text: str) -> float:
    """The number a line of the sum begins with."""
    return float(text.split()[0].replace(",", ""))


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_sheets_become_sowings_with_their_sums(
    request: pytest.FixtureRequest, size: str, picture: Callable[..., None]
) -> None:
    page: Page = request.getfixturevalue(size)
    page.goto("/")
    page.get_by_role("link", name="What to sow this week").click()
    page.get_by_label("Drop the sheets here, all together").set_input_files(SHEETS)
    page.get_by_label("Plan as on this day").fill("2026-09-07")
    page.get_by_role("button", name="Plan the sowings").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What to sow in week 37", timeout=60_000)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth") is True
    picture(page, f"sowing-{size}", full_page=False)
    first = page.locator("table.sowing tbody").first
    parts = first.locator("td.bring").inner_text()
    first.get_by_text(re.compile("^Why")).click()
    expect(first.locator("summary")).to_have_text(f"Why {parts}?")
    uses = [amount_in(text) for text in first.locator("dl.sum:not(.strong) dd").all_inner_texts()]
    wanted = first.locator("dl.strong > div", has_text="Wanted in these weeks").locator("dd").inner_text()
    assert len(uses) >= 1
    assert sum(uses) == pytest.approx(amount_in(wanted), abs=0.01 * len(uses) + 0.01)  # each is rounded
