"""A farm's whole week on a phone: Monday's sowing to Sunday's walk, every touch counted.

A touch is a press that is not a digit. The farm is the invented one, on Monday 7 September 2026 and the days after.
"""

import re
from collections.abc import Generator
from contextlib import contextmanager
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.http import HttpResponse
from playwright.sync_api import Locator, Page, Response, expect

from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.growing.models import Leaving, Planting, Walk
from farmops.harvest.models import Pick
from farmops.journal.models import Entry
from farmops.people.let_in import let_phone_in, make_link
from farmops.people.middleware import remember_phone
from farmops.people.models import Person
from farmops.selling.models import MarketFact

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.real_time]
MONDAY = date(2026, 9, 7)
NOW = datetime(2026, 9, 7, 9, tzinfo=UTC)
PICK, MOVE, WALK = "To pick, in walking order", "To move, in walking order", "To look at, in walking order"


def is_answer(response: Response) -> bool:
    """A page, or a part of one; what only leads on to another is none yet."""
    return response.request.resource_type in {"document", "xhr", "fetch"} and not 300 <= response.status < 400


class Hand:
    """One hand on the phone: presses are counted, digits are not."""

    def __init__(self, page: Page) -> None:
        self.page, self.touches = page, 0

    def press(self, what: Locator) -> None:
        """Until it has answered, by a new page or by a part of this one."""
        with self.page.expect_response(is_answer, timeout=90_000):
            what.first.tap()
        self.touches += 1
        self.page.wait_for_load_state()
        expect(self.page.locator(".htmx-request")).to_have_count(0)

    def button(self, words: str) -> None:
        self.press(self.page.get_by_role("button", name=re.compile(words)))

    def line(self, of: str) -> str:
        """The first line of a list of jobs; its words."""
        first = self.page.get_by_role("list", name=of).get_by_role("link").first
        words = " ".join(first.inner_text().split())
        self.press(first)
        return words

    def digits(self, figures: str) -> None:
        """Typed into the box that waits for them."""
        if figures:
            expect(self.page.locator("input:focus")).to_have_count(1)
            self.page.keyboard.type(figures)

    def go(self, address: str) -> None:
        self.page.goto(address)
        self.touches = 0

    def great(self) -> str:
        """The one great button that says what it will write; its words."""
        button = self.page.locator("button.great").first
        words = " ".join(button.inner_text().split())
        self.press(button)
        return words


@contextmanager
def on(day: int, hour: int, minute: int = 0) -> Generator[None]:
    """The farm's clock, four hours behind UTC in September; from there it goes on."""
    with time_machine.travel(datetime(2026, 9, day, hour + 4, minute, tzinfo=UTC), tick=True):
        yield


@pytest.fixture
def hand(request: pytest.FixtureRequest, db: None, phone: Page, live_server) -> Hand:
    with on(7, 5):
        read_sheets(request.config.rootpath / "fixtures/demo/sheets", now=NOW)
        for name in ("Maud", "Tobin"):
            Person.objects.create(name=name)
        let_in, secret = let_phone_in(
            secret=make_link(purpose="phone", now=NOW),
            called="Greenhouse",
            until_on=date(2026, 12, 31),
            today=MONDAY,
            now=NOW,
        )
        answer = HttpResponse()
        remember_phone(answer, let_in, secret, MONDAY)
    kept = [{"name": name, "value": one.value, "url": live_server.url} for name, one in answer.cookies.items()]
    phone.context.add_cookies(kept)
    return Hand(phone)


def newest() -> Entry:
    return Entry.objects.select_related("by").latest("pk")


def test_a_week_in_the_greenhouse_and_at_the_stall(hand, picture):
    page = hand.page
    with on(7, 5, 40):
        monday(hand, picture)
    with on(8, 5, 40):
        tuesday(hand, picture)
    with on(9, 14):
        before_the_market(hand)
    with on(9, 16, 20):
        at_the_stall(hand, picture)
    with on(9, 17, 20):
        back_on_the_table(hand)
    with on(9, 19, 30):
        market_evening(hand)
    with on(13, 9):
        sunday(hand)
        page.goto("/day-book/")
        assert page.get_by_role("list").get_by_role("listitem").count() == 4


def monday(hand, picture):
    """Who works is one touch; a sowing is started from its list and done in two touches; a move takes two."""
    page = hand.page
    hand.go("/")
    hand.button("Tobin")
    assert (hand.touches, page.get_by_role("heading", level=1).inner_text()) == (1, "Due now")

    hand.go("/sowing-list/")
    hand.button("Work it out")
    expect(page.get_by_role("list", name="To sow this week")).to_be_visible(timeout=90_000)
    picture(page, "sowing-list-phone", full_page=False)
    hand.press(page.locator("button.start"))
    planted = Planting.objects.latest("pk")
    assert (planted.state, planted.sown_on) == ("planned", MONDAY)
    hand.go("/")
    assert planted.code in hand.line("To sow")
    assert planted.code in page.locator(".tray").inner_text()
    assert re.fullmatch(r"\d+ × (half )?tray sown → .+", hand.great())
    planted.refresh_from_db()
    assert (hand.touches, planted.state, planted.seed_lot is not None, newest().by.name) == (2, "done", True, "Tobin")

    hand.go("/")
    standing = int(hand.line(MOVE).rsplit(" ", 1)[1])
    moving = int(hand.great().split(" ", 1)[0])
    moved = Leaving.objects.filter(how="moved", entry=newest())
    assert (hand.touches, sum(leaving.plants for leaving in moved)) == (2, moving)
    assert (
        int(page.get_by_role("list", name=MOVE).get_by_role("link").first.inner_text().split()[-1]) == standing - moving
    )


def tuesday(hand, picture):
    """The list is made once; a line is cut as listed in two touches, or with digits; the last entry is taken back."""
    page = hand.page
    hand.go("/pick-list/")
    hand.button("Make the list")
    hand.go("/")
    picture(page, "due-phone", full_page=False)
    listed = int(re.search(r"(\d+) heads?$", hand.line(PICK))[1])
    assert hand.great() == f"{listed} heads as listed"
    assert (hand.touches, Pick.objects.latest("pk").count) == (2, listed)
    assert page.get_by_role("list", name=PICK).get_by_role("listitem").first.inner_text().count("✓ done") == 1

    hand.go("/")
    hand.press(page.get_by_role("list", name=PICK).get_by_role("link").nth(1))
    hand.digits("2")
    hand.button("^Save$")
    assert (hand.touches, Pick.objects.latest("pk").count) == (2, 2)
    hand.press(page.get_by_role("status").get_by_role("link", name=re.compile("^Take back")))
    hand.button("Take it back")
    assert Pick.objects.live().filter(picked_on=date(2026, 9, 8)).count() == 1

    planting = Pick.objects.latest("pk").planting
    hand.go(f"/plantings/{planting.code}/")
    hand.press(page.get_by_role("link", name="Lose"))
    hand.digits("1")
    hand.button("^Save$")
    lost = Leaving.objects.latest("pk")
    assert (hand.touches, lost.how, lost.plants, lost.planting) == (2, "lost", 1, planting)


def before_the_market(hand):
    """The day is put on the list, what to bring is worked out once, and what was loaded is one press."""
    page = hand.page
    hand.go("/markets/")
    hand.button("Add this market day Mill Yard")
    hand.press(page.get_by_role("main").get_by_role("link", name="Mill Yard"))
    hand.button("Work out what to bring")
    expect(page.get_by_role("button", name="Work it out again")).to_be_visible(timeout=90_000)
    advised = [float(words.split()[-1]) for words in page.locator(".brings .advised").all_inner_texts()]
    hand.button("Loaded, as it stands here")
    hand.button("Yes, save it")  # more than was ever noted to lie in the cold room
    brought = MarketFact.objects.live().filter(kind="brought", line__market_day__held_on=date(2026, 9, 9))
    assert (len(advised), brought.count()) == (13, sum(figure > 0 for figure in advised))


def at_the_stall(hand, picture):
    """Sold out is one touch; the same again at once says that it was a slip."""
    page = hand.page
    hand.go("/")
    hand.press(page.get_by_role("link", name=re.compile("At the stall: Mill Yard")))
    hand.touches = 0
    hand.press(page.locator("button.press").first)
    out = MarketFact.objects.latest("pk")
    assert (hand.touches, out.kind, out.minute) == (1, "sold out", 16 * 60 + 20)
    picture(page, "stall-phone", full_page=False)
    hand.press(page.locator("button.press").first)
    assert MarketFact.objects.live().filter(kind="sold out", line=out.line).count() == 0
    hand.press(page.locator("button.press").nth(1))


def back_on_the_table(hand):
    """The same press an hour later says that there is more."""
    out = MarketFact.objects.live().get(kind="sold out", line__market_day__held_on=date(2026, 9, 9))
    hand.go(f"/markets/{out.line.market_day_id}/stall/")
    hand.press(hand.page.locator("button.press").nth(1))
    back = MarketFact.objects.latest("pk")
    assert (hand.touches, back.kind, back.line, back.minute) == (1, "back", out.line, 17 * 60 + 20)


def market_evening(hand):
    """Three came back of the first, nobody knows of the second, of the rest none: digits and two presses."""
    page = hand.page
    hand.go("/")
    hand.press(page.get_by_role("link", name=re.compile("What came back")))
    hand.touches = 0
    page.locator(".backs input.figure").first.tap()
    hand.digits("3")
    hand.button("The rest: none came back")
    hand.button("Evening done")
    facts = MarketFact.objects.live().filter(line__market_day__held_on=date(2026, 9, 9))
    assert (hand.touches, [fact.amount for fact in facts.filter(kind="home")]) == (2, [3])
    assert facts.filter(kind="left", amount=0).count() == facts.filter(kind="brought").count() - 1
    hand.go("/")
    assert page.get_by_role("link", name=re.compile("What came back")).count() == 0


def sunday(hand):
    """A look is two touches, with digits or without."""
    page = hand.page
    for figures, words, seen in (
        ("", "As planned", {"is_as_planned": True}),
        ("40", " ready$", {"ready": 40}),
        ("", "^4 days late$", {"days_late": 4}),
        ("", "Finished", {"is_finished": True}),
    ):
        hand.go("/")
        line = hand.line(WALK)
        hand.digits(figures)
        hand.button(words)
        walk = Walk.objects.latest("pk")
        assert walk.planting.code in line
        assert (hand.touches, {name: getattr(walk, name) for name in seen}) == (2, seen)
        assert page.get_by_role("heading", level=1).inner_text() == "Due now"
