"""The door, walked through: the first account, a phone let in, who works, and a form sent when nobody was known."""

import re
from collections.abc import Callable

import pytest
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, expect

from farmops.farm.models import ClosedDays
from farmops.journal.deed import Saying, do_once
from farmops.journal.models import Entry, Job
from farmops.people.let_in import make_link
from farmops.people.models import Person

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSWORD = "wet gloves at dawn"


def heading(page: Page, words: str) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words)


def fits(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth") is True


def first_account(page: Page) -> None:
    page.goto(f"/first/{make_link(purpose='first account', now=timezone.now())}/")
    page.get_by_label("Your name").fill("Odile")
    page.get_by_label("A password of your own").fill(PASSWORD)
    page.get_by_role("button", name="Make my account").click()
    heading(page, "People")


def phone_in(page: Page) -> None:
    page.goto(f"/let-in/{make_link(purpose='phone', now=timezone.now())}/")
    page.get_by_label("Name of this phone").fill("Shed")
    page.get_by_role("button", name="Let it in").click()
    heading(page, "Who is working?")


def closed_day() -> Entry:
    now = timezone.now()

    def write(entry: Entry) -> tuple[str, dict[str, object]]:
        ClosedDays.objects.create(first_on=entry.farm_day, last_on=entry.farm_day)
        return "Closed a day", {}

    saying = Saying(key="k", body={}, day=timezone.localdate(), said_at=now, now=now)
    return do_once(saying, Job.SET, write).entry


def test_from_the_first_account_to_a_phone_that_says_who_works_by_one_touch(laptop: Page, phone: Page) -> None:
    first_account(laptop)
    for name in ("Ines", "Maximiliane Oberhuber"):
        laptop.get_by_label("Name", exact=True).fill(name)
        laptop.get_by_role("button", name="Add").click()
    laptop.get_by_role("link", name="Phones let in").click()
    laptop.get_by_role("button", name="Let a phone in").click()
    link = laptop.locator(".hand-on").inner_text()

    phone.goto(link)
    fits(phone)
    phone.get_by_label("Name of this phone").fill("Shed")
    phone.get_by_role("button", name="Let it in").click()
    heading(phone, "Who is working?")
    phone.goto("/day-book/")
    heading(phone, "Who is working?")
    fits(phone)
    names = phone.locator("form.names button")
    assert names.all_inner_texts() == ["Ines", "Maximiliane Oberhuber", "Odile"]
    assert [box["height"] >= 64 for box in (one.bounding_box() for one in names.all()) if box] == [True] * 3
    phone.get_by_role("button", name="Ines").tap()
    heading(phone, "Day book")
    fits(phone)
    expect(phone.locator(".head .who")).to_contain_text("Ines")

    laptop.goto("/phones/")
    laptop.get_by_role("button", name="Stop Shed").click()
    phone.goto("/day-book/")
    heading(phone, "Sign in")


@pytest.mark.case("F04")
def test_a_form_opened_as_one_and_sent_as_another_says_so_and_is_sent_by_one_press(phone: Page) -> None:
    for name in ("Ines", "Otto"):
        Person.objects.create(name=name)
    entry = closed_day()
    phone_in(phone)
    phone.goto(f"/entries/{entry.pk}/undo/")
    phone.get_by_role("button", name="Ines").tap()
    heading(phone, "Take this back?")
    other = phone.context.new_page()
    other.goto("/who-works/?next=/day-book/")
    other.get_by_role("button", name="Otto").tap()
    heading(other, "Day book")
    other.close()

    with phone.expect_response(re.compile("/undo/")) as answer:
        phone.get_by_role("button", name="Take it back").tap()
    assert answer.value.status == 403
    heading(phone, "Send it once more")
    fits(phone)
    expect(phone.get_by_text("It will be recorded as done by Otto.")).to_be_visible()
    phone.get_by_role("button", name="Send it as Otto").tap()
    heading(phone, "Day book")
    undone = Entry.objects.select_related("by").get(job=Job.UNDO)
    assert (str(undone.by), undone.corrects) == ("Otto", entry)


@pytest.mark.case("F03")
def test_pasted_rows_outlast_the_end_of_the_session_also_where_a_part_of_the_page_was_sent(
    laptop: Page, open_page: Callable[..., Page]
) -> None:
    rows = "Date,Market,Item,Brought,Left over,Price\n3/14/26,Town,Basil,40,0,2.50\n3/21/26,Town,Basil,40,4,2.50\n"
    first_account(laptop)
    for page in (laptop, without_scripts(open_page)):
        page.goto("/notebooks/")
        if page is not laptop:
            sign_in(page)
        page.get_by_text("Paste rows instead").click()
        page.get_by_label("Rows from your sheet, headings first").fill(rows)
        end_session(page.context)
        page.get_by_role("button", name="Read it").click()
        heading(page, "Sign in")
        expect(page.get_by_text("What you typed is not lost.")).to_be_visible()
        sign_in(page)
        heading(page, "Send it once more")
        page.get_by_role("button", name="Send it as Odile").click()
        heading(page, "Your market notebook")


def without_scripts(open_page: Callable[..., Page]) -> Page:
    return open_page(java_script_enabled=False, viewport={"width": 360, "height": 740})


def sign_in(page: Page) -> None:
    page.get_by_label("Your name").fill("Odile")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def end_session(context: BrowserContext) -> None:
    context.clear_cookies(name="sessionid")
