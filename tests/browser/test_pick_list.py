"""A morning with the pick list on a phone: made, cut as listed in two touches, otherwise in three, and corrected."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from farmops import clock
from farmops.farm.models import Farm
from farmops.growing.models import Walk
from farmops.harvest.models import Pick
from farmops.people.let_in import make_link
from farmops.people.models import Person
from tests.journal.entries import an_entry
from tests.planning.small_farm import a_place, a_variety, an_item
from tests.planning.wanted import a_buyer, an_order, ready

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
TOUCH = 48  # px: what a thumb in a wet glove needs


@pytest.fixture
def morning(phone: Page) -> Page:
    """Thirty heads for the Inn; sixty stand in N-1, N-2 and N-10, as the grower saw yesterday. Ines works."""
    a_place()
    Farm.objects.update(harvest_days="")
    lettuce = a_variety()
    today = clock.today()
    planting = ready(lettuce, "P26-001", "N-1", "N-2", "N-10", sown=today - timedelta(days=60))
    Walk.objects.create(
        planting=planting, seen_on=today - timedelta(days=1), ready=57, entry=an_entry("walk", job="walk")
    )
    an_order(a_buyer("Inn", weekday=today.weekday()), an_item(lettuce), 30)
    Person.objects.create(name="Ines")
    phone.goto(f"/let-in/{make_link(purpose='phone', now=timezone.now())}/")
    phone.get_by_label("Name of this phone").fill("Shed")
    phone.get_by_role("button", name="Let it in").tap()
    phone.get_by_role("button", name="Ines").tap()
    expect(phone.get_by_role("link", name=re.compile("Ines"))).to_be_visible()
    phone.goto("/pick-list/")
    return phone


def line(page: Page, where: str) -> Locator:
    lines = page.get_by_role("list", name="What to cut, in walking order").get_by_role("listitem")
    return lines.filter(has=page.get_by_text(where, exact=True))


def open_line(page: Page, where: str) -> None:
    line(page, where).get_by_role("link").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Pick P26-001")


def fits(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth") is True
    # Links inside a line of text and what only a screen reader sees are no buttons for a thumb.
    small = page.evaluate(
        """(most) => ['button', '.lines a', 'input:not([type=hidden])', 'select']
        .flatMap((one) => [...document.querySelectorAll(`main ${one}`)])
        .filter((one) => one.offsetParent && one.getBoundingClientRect().height < most).map((one) => one.outerHTML)""",
        TOUCH - 4,
    )
    assert small == []


def test_as_listed_in_two_touches_and_otherwise_in_three(morning: Page) -> None:
    morning.get_by_role("button", name="Make the list").tap()
    expect(line(morning, "N-1")).to_contain_text("19 heads")
    expect(line(morning, "N-2")).to_contain_text("11 heads")
    fits(morning)
    open_line(morning, "N-1")  # 1
    fits(morning)
    morning.get_by_role("button", name="19 heads as listed").tap()  # 2
    expect(morning.get_by_role("status").first).to_contain_text("Cut 19 heads of P26-001 green butterhead")
    expect(line(morning, "N-1")).to_contain_text("✓ 19 of 19 cut")
    open_line(morning, "N-2")  # 1
    box = morning.get_by_label("How many", exact=True)
    expect(box).to_be_focused()
    morning.keyboard.type("9")
    morning.get_by_role("button", name="Save", exact=True).first.tap()  # 2, or 3 where the box had to be pressed
    expect(line(morning, "N-2")).to_contain_text("◐ 9 of 11 cut")
    assert sorted(Pick.objects.values_list("count", flat=True)) == [9, 19]
    expect(morning.get_by_text("1 of 2 lines done")).to_be_visible()


def test_enter_on_the_pad_saves_what_was_typed_not_what_was_listed(morning: Page) -> None:
    morning.get_by_role("button", name="Make the list").tap()
    open_line(morning, "N-1")
    morning.keyboard.type("7")
    morning.keyboard.press("Enter")
    expect(line(morning, "N-1")).to_contain_text("◐ 7 of 19 cut")
    assert Pick.objects.get().count == 7


def test_what_cannot_be_read_is_kept_and_put_right_later(morning: Page) -> None:
    morning.get_by_role("button", name="Make the list").tap()
    open_line(morning, "N-1")
    morning.get_by_label("How many", exact=True).fill("1,250")
    morning.get_by_role("button", name="Save", exact=True).first.tap()
    expect(morning.get_by_role("alert").first).to_contain_text("can be read two ways: 1.250 or 1250")
    expect(morning.get_by_label("How many", exact=True)).to_have_value("1,250")
    morning.get_by_label("How many", exact=True).fill("12")
    morning.get_by_role("button", name="Save", exact=True).first.tap()
    expect(line(morning, "N-1")).to_contain_text("12 of 19 cut")
    morning.goto(f"/picks/{Pick.objects.get().pk}/correct/?next=/pick-list/")
    expect(morning.get_by_label("How many", exact=True)).to_have_value("12 head")
    fits(morning)
    morning.get_by_label("How many", exact=True).fill("14")
    morning.get_by_role("button", name="Save", exact=True).first.tap()
    expect(line(morning, "N-1")).to_contain_text("14 of 19 cut")
    morning.goto("/day-book/")
    expect(morning.get_by_text(re.compile("instead of: Cut 12 heads"))).to_be_visible()
