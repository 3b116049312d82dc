"""Moving, losing, walking past, sowing and waiting on a phone: touches counted, and pages that a wet thumb can use.

A touch is a press that is not a digit. Each count begins with the press on the line that leads to the page.
"""

from datetime import date, timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from farmops.farm.days import farm_today
from farmops.growing.balance import balance_of
from farmops.growing.models import Planting, SeedLot, Space, Stay, Walk
from farmops.people.let_in import make_link
from farmops.people.models import Person
from farmops.waiting.models import DoNotCut
from tests.growing.beds import a_planting, a_schedule, a_space, a_stay, a_variety

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SMALL_TARGETS = """() => [...document.querySelectorAll('main a, main button, main input, main select, main summary')]
    .filter(one => one.checkVisibility() && one.getBoundingClientRect().height < 43.5)
    .map(one => one.outerHTML.slice(0, 90))"""
NAMELESS = """() => [...document.querySelectorAll('main input, main select')]
    .filter(one => one.type !== 'hidden' && !one.labels.length && !one.getAttribute('aria-label'))
    .map(one => one.outerHTML.slice(0, 90))"""


class Touched:
    """A phone of which every press is counted."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.touches = 0

    def tap(self, role: str, name: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role(role, name=name, exact=True).first.tap()  # type: ignore[arg-type]  # a role's name
        self.touches += 1

    def digits(self, figure: str) -> None:
        """Into the box in which the cursor stands already."""
        self.page.keyboard.type(figure)


@pytest.fixture
def touched(phone: Page) -> Touched:
    Person.objects.create(name="Ines")
    phone.goto(f"/let-in/{make_link(purpose='phone', now=timezone.now())}/")
    phone.get_by_label("Name of this phone").fill("Shed")
    phone.get_by_role("button", name="Let it in").tap()
    phone.get_by_role("button", name="Ines").tap()
    expect(phone.locator(".head .who")).to_contain_text("Ines")
    phone.wait_for_load_state()
    return Touched(phone)


@pytest.fixture
def today(db: None) -> date:
    return farm_today()


@pytest.fixture
def nursery(today: date) -> Stay:
    """120 plants in the nursery, due for two days, and a finishing channel that takes them."""
    variety = a_variety(part="half tray", part_plants=36)
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    planting = a_planting("P-184", variety=variety, sown_on=today - timedelta(days=16))
    a_space("F-1", 120)
    return a_stay(planting, a_space("N-3", 240, "nursery channel"))


def is_fit_for_a_thumb(page: Page) -> None:
    assert page.evaluate(SMALL_TARGETS) == []
    assert page.evaluate(NAMELESS) == []
    for width in (360, 320):
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") == 0
    page.set_viewport_size({"width": 360, "height": 740})


def test_a_move_is_two_touches(touched: Touched, nursery: Stay) -> None:
    touched.page.goto("/spaces/N-3/")
    is_fit_for_a_thumb(touched.page)
    touched.tap("link", "Move")
    is_fit_for_a_thumb(touched.page)
    touched.tap("button", "120 → F-1")
    expect(touched.page.get_by_role("status")).to_contain_text("120 of P-184 green butterhead moved from N-3 to F-1")
    expect(touched.page.get_by_role("heading", level=1)).to_contain_text("N-3")
    assert touched.touches == 2
    assert [(one.stay.space.name, one.plants) for one in balance_of(nursery.planting).here] == [("F-1", 120)]


def test_lost_plants_are_a_line_digits_and_save(touched: Touched, nursery: Stay) -> None:
    touched.page.goto("/spaces/N-3/")
    touched.tap("link", "Lose")
    is_fit_for_a_thumb(touched.page)
    touched.digits("12")
    touched.tap("button", "Save")
    expect(touched.page.get_by_role("status")).to_contain_text("Lost 12 plants of P-184 in N-3")
    assert (touched.touches, balance_of(nursery.planting).in_stays) == (2, 108)


@pytest.mark.parametrize(
    ("figure", "button", "seen"),
    [
        ("", "As planned", (True, None, None, False)),
        ("80", "heads ready", (False, 80, None, False)),
        ("", "5 days late", (False, None, 5, False)),
        ("", "Finished: nothing more will come", (False, None, None, True)),
    ],
)
def test_a_walk_is_one_touch_on_its_page(
    touched: Touched, nursery: Stay, figure: str, button: str, seen: tuple[bool, int | None, int | None, bool]
) -> None:
    touched.page.goto("/plantings/P-184/walk/")
    is_fit_for_a_thumb(touched.page)
    touched.digits(figure)
    touched.tap("button", button)
    expect(touched.page.get_by_role("status")).to_contain_text("P-184 green butterhead")
    walk = Walk.objects.get()
    assert (walk.is_as_planned, walk.ready, walk.days_late, walk.is_finished, touched.touches) == (*seen, 1)


def test_enter_after_digits_sends_nothing_until_it_is_said_what_they_are(touched: Touched, nursery: Stay) -> None:
    touched.page.goto("/plantings/P-184/walk/")
    touched.digits("5")
    touched.page.keyboard.press("Enter")
    expect(touched.page.get_by_label("How many heads")).to_have_value("5")
    assert Walk.objects.count() == 0


def test_a_planned_sowing_is_one_touch_on_its_page_with_its_number_large(
    touched: Touched, nursery: Stay, today: date
) -> None:
    variety = nursery.planting.variety
    lot = SeedLot.objects.create(name="L26-01", variety=variety)
    a_planting("P-185", 108, variety=variety, state="planned", sown_on=today, seed_lot=lot)
    touched.page.goto("/plantings/P-185/sow/")
    is_fit_for_a_thumb(touched.page)
    number = touched.page.locator(".tray b")
    expect(number).to_have_text("P-185")
    assert number.evaluate("one => parseFloat(getComputedStyle(one).fontSize)") >= 40
    touched.tap("button", "3 × half tray sown → N-3")
    expect(touched.page.get_by_role("status")).to_contain_text("Sown P-185: 3 × half tray green butterhead, 108 plants")
    sown = Planting.objects.get(code="P-185")
    assert (touched.touches, sown.state, sown.seed_lot) == (1, "done", lot)


def test_what_was_typed_comes_back_with_what_fits_at_one_press(touched: Touched, nursery: Stay) -> None:
    Space.objects.get(name="F-1").spells.update(places=18)
    touched.page.goto(f"/stays/{nursery.pk}/move/")
    touched.page.get_by_label("How many").fill("40")
    touched.page.get_by_role("button", name="Move", exact=True).first.tap()
    alert = touched.page.get_by_role("alert")
    expect(alert.first).to_contain_text("F-1 has 18 places, 0 taken")
    expect(touched.page.get_by_label("How many")).to_have_value("40")
    is_fit_for_a_thumb(touched.page)
    touched.tap("button", "18 → F-1")
    expect(touched.page.get_by_role("status")).to_contain_text("102 wait in N-3")


def test_the_keyboard_alone_will_do(touched: Touched, nursery: Stay) -> None:
    page = touched.page
    page.goto(f"/stays/{nursery.pk}/move/")
    great = page.get_by_role("button", name="120 → F-1")
    for _press in range(30):
        page.keyboard.press("Tab")
        if great.evaluate("one => one === document.activeElement"):
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("120 of P-184 green butterhead moved from N-3 to F-1")


def test_a_wait_is_said_and_lifted(touched: Touched, nursery: Stay, today: date) -> None:
    touched.page.goto("/plantings/P-184/wait/")
    is_fit_for_a_thumb(touched.page)
    touched.page.keyboard.type("soap spray")
    touched.tap("button", "Do not cut before then")
    halt = touched.page.locator(".halt")
    expect(halt).to_contain_text(": soap spray (Ines)")
    assert DoNotCut.objects.get().before is not None
    touched.tap("link", "Lift it")
    is_fit_for_a_thumb(touched.page)
    touched.page.keyboard.type("it was water")
    touched.tap("button", "Lift it")
    expect(touched.page.get_by_role("status")).to_contain_text("may be cut again: it was water")
    expect(halt).to_have_count(0)
    assert touched.touches == 3


@pytest.mark.parametrize("address", ["/spaces/", "/spaces/F-1/", "/plantings/P-184/clear/", "/plantings/P-184/plan/"])
def test_the_other_pages_fit_a_thumb_too(touched: Touched, nursery: Stay, address: str) -> None:
    assert touched.page.goto(address).status == 200  # type: ignore[union-attr]  # a page was asked for
    is_fit_for_a_thumb(touched.page)
