"""A seller's phone at the stall: what is told moves nothing, a press too early is asked about, faults are named."""

import re
from collections.abc import Generator
from datetime import UTC, datetime
from typing import Any

import pytest
import time_machine
from playwright.sync_api import Page, Route, expect

from farmops.people.let_in import make_link
from farmops.people.models import Person
from farmops.selling.models import MarketDay, MarketFact
from tests.browser.conftest import PHONE
from tests.selling.market import a_line, an_item, loaded

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.real_time]
ELEVEN = datetime(2026, 5, 2, 15, 0, tzinfo=UTC)  # at the farm; the market is open from 8:00 to 13:00
TOP_OF_THIRD = "document.querySelectorAll('button.press')[2].getBoundingClientRect().top"


@pytest.fixture
def at_eleven(db: None) -> Generator[None]:
    with time_machine.travel(ELEVEN, tick=True):
        yield


@pytest.fixture
def stall(at_eleven: None, phone: Page) -> Page:
    return at_the_stall(phone)


@pytest.fixture
def faulty(live_server: Any, at_eleven: None, new_context: Any) -> Generator[Page]:
    """The same on a page that may complain, for the line or the program is about to fail."""
    page = new_context(base_url=live_server.url, viewport=PHONE, is_mobile=True, has_touch=True).new_page()
    yield at_the_stall(page)
    page.goto("about:blank")  # ends requests that would meet an emptied database


def at_the_stall(phone: Page) -> Page:
    """Four items on the table; Ines sells."""
    for name in ("basil", "chard", "dill", "kale"):
        loaded(a_line(an_item(name)), "30")
    Person.objects.create(name="Ines")
    phone.goto(f"/let-in/{make_link(purpose='phone', now=ELEVEN)}/")
    phone.get_by_label("Name of this phone").fill("Stall")
    phone.get_by_role("button", name="Let it in").tap()
    phone.get_by_role("button", name="Ines").tap()
    expect(phone.get_by_role("link", name=re.compile("Ines"))).to_be_visible()
    phone.goto(f"/markets/{MarketDay.objects.get().pk}/stall/")
    return phone


def test_what_is_told_moves_nothing_that_is_pressed_next(stall: Page) -> None:
    before = stall.evaluate(TOP_OF_THIRD)
    stall.get_by_role("button", name=re.compile("basil")).first.tap()
    expect(stall.get_by_role("status")).to_contain_text("basil sold out at 11:00")
    assert stall.evaluate(TOP_OF_THIRD) == before
    bar = stall.locator("#messages .message").bounding_box()
    assert bar is not None
    assert bar["y"] + bar["height"] == 740  # at the foot of the screen
    stall.get_by_role("button", name=re.compile("dill")).first.tap()
    expect(stall.get_by_role("status")).to_contain_text("dill sold out at 11:00")
    assert stall.evaluate(TOP_OF_THIRD) == before
    assert [fact.line.item.name for fact in MarketFact.objects.filter(kind="sold out").order_by("pk")] == [
        "basil",
        "dill",
    ]


def test_a_slip_before_the_market_opens_is_one_press(stall: Page) -> None:
    MarketDay.objects.update(opens_minute=12 * 60)
    stall.get_by_role("button", name=re.compile("chard")).first.tap()
    asked = stall.get_by_role("alert").filter(has_text="It opens at 12:00, and this says 11:00.")
    expect(asked).to_be_visible()
    stall.get_by_role("button", name="It was a slip: note nothing").tap()
    expect(asked).to_have_count(0)
    assert MarketFact.objects.filter(kind="sold out").count() == 0
    stall.get_by_role("button", name=re.compile("chard")).first.tap()
    stall.get_by_label("Yes: that day it opened at").fill("8:00")
    stall.get_by_role("button", name="Save it so").tap()
    expect(stall.get_by_role("status")).to_contain_text("chard sold out at 11:0")
    assert MarketDay.objects.get().opens_minute == 480


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        (500, "Something broke here, not on the line. Nothing that was noted is lost"),
        (404, "That was not taken, and what you typed is still here."),
        (None, "That did not get through. What you typed is still here: try again."),
    ],
)
def test_a_fault_is_told_where_it_is(faulty: Page, answer: int | None, words: str) -> None:
    def instead(route: Route) -> None:
        if answer is None:
            route.abort()
        else:
            route.fulfill(status=answer, body="")

    faulty.route("**/stall/", instead)
    faulty.get_by_role("button", name=re.compile("basil")).first.tap()
    told = faulty.locator("#trouble")
    expect(told).to_be_visible()
    assert [part.inner_text()[: len(words)] for part in told.locator("p").all() if part.is_visible()] == [words]
    faulty.unroute("**/stall/")
    faulty.get_by_role("button", name=re.compile("basil")).first.tap()
    expect(faulty.get_by_role("status")).to_contain_text("basil sold out at 11:0")
    expect(told).to_be_hidden()
