"""The first journey: drop the market notebook, read what to bring and what running out cost, print it."""

import re
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import Page, expect

from farmops.exchange.desk import desk

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DEMO = Path(__file__).resolve().parent.parent.parent / "fixtures" / "demo" / "market notebook 2026.xlsx"
ROWS = """Date,Market,Item,Brought,Left over,Ran out at,Price
3/4/26,Town,Basil,40,0,9:30,2.50
5/4/26,Town,Basil,40,4,,2.50
3/4/26,Town,Chard,20,5,,3.00
5/4/26,Town,Chard,20,0,12:10,3.00
"""


def drop_demo(page: Page) -> None:
    page.goto("/")
    page.get_by_label("Drop a sheet here, or choose one").set_input_files(DEMO)
    expect(page.get_by_role("heading", level=1)).to_have_text("Your market notebook")


def paste(page: Page, rows: str) -> None:
    page.goto("/")
    page.get_by_text("Paste rows instead").click()
    page.get_by_label("Rows from your sheet, headings first").fill(rows)
    page.get_by_role("button", name="Read it").click()


def row_of(page: Page, item: str) -> dict[str, str]:
    """What the first market's line for `item` shows, by the words beside each figure."""
    line = page.locator("table.outlook").first.locator("tbody", has=page.get_by_role("rowheader", name=item))
    cells = line.locator("tr").first.locator("td[data-name]")
    return {cell.get_attribute("data-name") or "": cell.inner_text() for cell in cells.all()}


@pytest.fixture(params=["phone", "laptop"])
def page_and_size(request: pytest.FixtureRequest) -> tuple[Page, str]:
    return request.getfixturevalue(request.param), request.param


def test_the_dropped_notebook_is_read_on_screen_and_on_paper(
    page_and_size: tuple[Page, str], picture: Callable[..., None]
) -> None:
    page, size = page_and_size
    drop_demo(page)
    picture(page, f"notebook-{size}", full_page=False)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth") is True
    figures = page.locator("dl.figures dd").all_inner_texts()
    money = [re.match(r"\$[\d,]+(–[\d,]+)?", figure) for figure in figures[:2]]
    assert all(money)
    shown = row_of(page, "Sweet basil")
    assert re.fullmatch(r"\d+ of \d+ days, about \d\d:\d\d", shown["Ran out"])

    with page.expect_response(re.compile("paper.pdf")) as got:
        page.evaluate("address => fetch(address)", page.get_by_role("link", name="Print as PDF").get_attribute("href"))
    pdf = pypdf.PdfReader(BytesIO(got.value.body()))
    text = " ".join(" ".join(sheet.extract_text() for sheet in pdf.pages).split())
    assert len(pdf.pages) <= 2
    for figure in (money[0].group(), money[1].group(), shown["Running out cost"], shown["Ran out"]):
        assert figure in text


def test_a_changed_cost_is_answered_at_once_and_stays_in_the_address(laptop: Page) -> None:
    drop_demo(laptop)
    before = row_of(laptop, "Sweet basil")
    laptop.get_by_label("What one costs to grow and pick", exact=True).fill("75 %")
    laptop.get_by_label("What one costs to grow and pick", exact=True).press("Tab")
    expect(laptop).to_have_url(re.compile(r"f\.cost=75"))
    after = row_of(laptop, "Sweet basil")
    assert int(after["Bring"]) < int(before["Bring"])
    laptop.reload()
    assert row_of(laptop, "Sweet basil") == after


def test_a_number_opens_into_its_sum_and_stays_open(laptop: Page) -> None:
    drop_demo(laptop)
    first = laptop.locator("tr.why details").first
    first.locator("summary").click()
    bring = laptop.locator("table.outlook td.bring").first.inner_text()
    lines = first.locator("dl.sum > div")
    expect(lines.filter(has_text="Smallest amount that lasts so often: bring").locator("dd")).to_have_text(bring)
    laptop.get_by_label("What a leftover is worth", exact=True).fill("10%")
    laptop.get_by_label("What a leftover is worth", exact=True).press("Tab")
    expect(laptop).to_have_url(re.compile(r"f\.leftover=10"))
    expect(first).to_have_attribute("open", "")


def test_what_cannot_be_read_keeps_what_was_typed_and_says_what_to_do(laptop: Page) -> None:
    drop_demo(laptop)
    laptop.get_by_label("What one costs to grow and pick", exact=True).fill("1,250")
    laptop.get_by_label("What one costs to grow and pick", exact=True).press("Tab")
    expect(laptop.locator(".errorlist").first).to_contain_text("Type it without the mark that is unclear.")
    expect(laptop.get_by_label("What one costs to grow and pick", exact=True)).to_have_value("1,250")


@pytest.mark.case("I02")
def test_dates_that_read_two_ways_are_asked_before_anything_is_worked_out(
    page_and_size: tuple[Page, str], picture: Callable[..., None]
) -> None:
    page, size = page_and_size
    paste(page, ROWS)
    expect(page.get_by_role("heading", level=1)).to_have_text("A few questions first")
    picture(page, f"questions-{size}")
    page.get_by_label(re.compile("3 April 2026")).check()
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Your market notebook")
    expect(page.get_by_text(re.compile("3 April 2026 to 5 April 2026"))).to_be_visible()


def test_a_refused_sheet_keeps_the_pasted_rows(phone: Page) -> None:
    paste(phone, "one word\n")
    expect(phone.get_by_role("alert").first).to_be_visible()
    expect(phone.get_by_label("Rows from your sheet, headings first")).to_have_value("one word\n")


def test_a_kept_notebook_waits_on_the_first_screen_and_can_be_forgotten(laptop: Page) -> None:
    drop_demo(laptop)
    laptop.get_by_role("button", name="Keep this notebook").click()
    expect(laptop.get_by_role("status").filter(has_text="Kept on this computer.")).to_be_visible()
    laptop.goto("/")
    laptop.get_by_role("link", name=DEMO.name).click()
    expect(laptop.get_by_role("heading", level=1)).to_have_text("Your market notebook")
    laptop.goto("/")
    laptop.get_by_role("button", name="Forget").click()
    expect(laptop.get_by_text("Kept on this computer", exact=True)).to_have_count(0)


def test_after_a_restart_the_same_sheet_leads_back_with_every_answer(laptop: Page) -> None:
    drop_demo(laptop)
    laptop.get_by_label("What one costs to grow and pick", exact=True).fill("75 %")
    laptop.get_by_label("What one costs to grow and pick", exact=True).press("Tab")
    expect(laptop).to_have_url(re.compile(r"f\.cost=75"))
    shown = row_of(laptop, "Sweet basil")
    desk.forget(laptop.url.split("/notebooks/")[1].split("/")[0])
    laptop.reload()
    expect(laptop.get_by_role("heading", level=1)).to_have_text("Drop the sheet in once more")
    laptop.get_by_label("Drop a sheet here, or choose one").set_input_files(DEMO)
    expect(laptop.get_by_role("heading", level=1)).to_have_text("Your market notebook")
    assert row_of(laptop, "Sweet basil") == shown


def test_the_whole_way_works_with_scripts_off(open_page: Callable[..., Page]) -> None:
    page = open_page(java_script_enabled=False, viewport={"width": 360, "height": 740})
    page.goto("/")
    page.get_by_label("Drop a sheet here, or choose one").set_input_files(DEMO)
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Your market notebook")
    page.get_by_label("What one costs to grow and pick", exact=True).fill("75%")
    page.get_by_role("button", name="Work it out again").click()
    expect(page.get_by_label("What one costs to grow and pick", exact=True)).to_have_value("75%")
    assert re.search(r"f\.cost=75", page.url)


def test_a_changed_figure_leaves_the_page_where_it_is(phone: Page) -> None:
    drop_demo(phone)
    field = phone.get_by_label("What one costs to grow and pick", exact=True)
    field.fill("55%")
    before = phone.evaluate("scrollY")
    field.press("Enter")
    expect(phone).to_have_url(re.compile(r"f\.cost=55"))
    assert abs(phone.evaluate("scrollY") - before) <= 5


def test_headings_nobody_knows_are_asked_once_and_can_be_changed_later(laptop: Page) -> None:
    head = "The day,Where we stood,Thing,In the van,Back in the van,Asked for\n"
    paste(laptop, head + "".join(f"2026-05-{day:02d},Town,Basil,40,{day % 3},2.50\n" for day in range(1, 29, 7)))
    expect(laptop.get_by_role("heading", level=1)).to_have_text("A few questions first")
    rounds = 0
    while laptop.get_by_role("heading", level=1).inner_text() == "A few questions first":
        rounds += 1
        assert rounds <= 6
        for question, answer in {
            "the market day": "The day",
            "what was sold": "Thing",
            "how many were brought": "In the van",
            "how many came back": "Back in the van",
        }.items():
            asked = laptop.get_by_role("group", name=f"Which column tells {question}?")
            if asked.count():
                asked.get_by_label(re.compile(f"{answer}( |$)")).first.check()
        for group in laptop.get_by_role("group").all():
            if group.get_by_role("radio").count() and not group.locator("input:checked").count():
                group.get_by_role("radio").first.check()
        go_on = laptop.get_by_role("button", name="Go on")
        go_on.evaluate("button => { button.dataset.pressed = 'yes' }")
        go_on.click()
        expect(laptop.locator("[data-pressed]")).to_have_count(0)  # the answer stands in its place
    expect(laptop.get_by_role("heading", level=1)).to_have_text("Your market notebook")
    laptop.get_by_text("How your headings were understood").click()
    laptop.get_by_label("price of one", exact=True).select_option("Asked for")
    expect(laptop).to_have_url(re.compile(r"column\.price=5"))
    expect(laptop.get_by_label("Price of Basil")).to_have_attribute("placeholder", "2.50")
