"""The pick list's page: made by a press, its lines lead to the pick page, an old sheet is told with its changes."""

import re
from datetime import UTC, datetime, timedelta
from html import unescape

import pytest
import time_machine
from django.urls import reverse

from farmops.harvest.models import Pick, PickLine, PickSheet
from farmops.journal.models import Entry
from farmops.selling.models import Price, StandingOrder
from tests.harvest.picks import NOW
from tests.harvest.picks import a_planting as some_planting
from tests.journal.entries import an_entry
from tests.pages import said_in, text_of
from tests.planning.small_farm import a_place, a_variety, an_item
from tests.planning.wanted import TUESDAY, a_buyer, an_order, ready

pytestmark = pytest.mark.django_db
LIST = "/pick-list/"
AT_0540 = datetime(2026, 5, 5, 9, 40, tzinfo=UTC)  # 05:40 on the farm


@pytest.fixture
def order():
    """Thirty heads for the Inn, sixty could be cut: 19 in N-1, 19 in N-2, 19 in N-10."""
    a_place()
    lettuce = a_variety()
    ready(lettuce, "P26-001", "N-1", "N-2", "N-10")
    return an_order(a_buyer("Inn"), an_item(lettuce), 30)


def lines_of(page, title):
    """The lines of one part of the page."""
    part = page.content.decode().partition(f"<h2>{title}</h2>")[2].partition("<h2>")[0]
    items = re.findall(r"<li[^>]*>(.*?)</li>", part, re.S)
    return [" ".join(unescape(re.sub(r"<[^>]+>", " ", one)).split()) for one in items]


def make(client, day=TUESDAY):
    return client.post(LIST, {"day": day}, follow=True)


def test_a_day_without_a_list_offers_to_make_it(phone_client, order):
    page = phone_client.get(LIST, {"day": TUESDAY})
    assert "No list is made for this day yet." in text_of(page)
    assert PickSheet.objects.count() == 0  # looking makes nothing
    made = make(phone_client)
    assert made.redirect_chain == [("/pick-list/?day=2026-05-05", 303)]
    assert "Version 1 is made." in said_in(made)
    assert lines_of(made, "Cut") == [
        "N-1 green butterhead P26-001 · butterhead lettuce: Inn 19 heads",
        "N-2 green butterhead P26-001 · butterhead lettuce: Inn 11 heads",
    ]
    assert lines_of(made, "Pack") == ["butterhead lettuce Inn 30 30 heads"]


def test_a_line_is_cut_in_two_touches_and_says_how_far_it_is(phone_client, order):
    """1: the line; 2: "19 heads as listed". Then the list again, with the line done."""
    with time_machine.travel(AT_0540, tick=False):
        page = make(phone_client)
        address = unescape(re.findall(r'<a href="(/plantings/[^"]*/pick/[^"]*)"', page.content.decode())[0])
        line = PickLine.objects.get(position=1)
        stay = line.stay_id
        assert address == (
            f"/plantings/P26-001/pick/?amount=19&unit=head&stay={stay}&list=2026-05-05"
            f"&next=%2Fpick-list%2F%3Fday%3D2026-05-05%23line-{line.pk}"
        )
        pick = phone_client.get(address)
        assert re.findall(r'class="great">(.*?)<', pick.content.decode()) == ["19 heads as listed", "Save"]
        form = pick.content.decode().partition('pick/"')[2].partition("</form>")[0]
        sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
        after = phone_client.post("/plantings/P26-001/pick/", {**sent, "next": unescape(sent["next"])}, follow=True)
        assert after.redirect_chain == [(f"/pick-list/?day=2026-05-05#line-{line.pk}", 303)]
        assert f'<li id="line-{line.pk}" class="done">' in after.content.decode()
        assert lines_of(after, "Cut") == [
            "N-1 green butterhead P26-001 · butterhead lettuce: Inn ✓ 19 of 19 cut 19 heads",
            "N-2 green butterhead P26-001 · butterhead lettuce: Inn 11 heads",
        ]
        assert "1 of 2 lines done" in text_of(after)
        assert "may change the list" not in text_of(after)  # it is what the list is for


def cut_as_listed(client, page, number=0):
    """The two touches: the line, then its one big button."""
    address = unescape(re.findall(r'<a href="(/plantings/[^"]*/pick/[^"]*)"', page.content.decode())[number])
    form = client.get(address).content.decode().partition('pick/"')[2].partition("</form>")[0]
    sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
    return client.post(address.partition("?")[0], {name: unescape(text) for name, text in sent.items()}, follow=True)


def test_what_is_cut_this_evening_for_tomorrows_list_is_done_on_it_and_once(phone_client, order):
    """Monday evening, Tuesday's list: the line is done, nothing has to be made anew, and today's list knows nothing.

    Where it is made anew all the same, what was cut lies in the cold room, and no place is done twice.
    """
    make(phone_client, TUESDAY - timedelta(days=1))
    with time_machine.travel(NOW + timedelta(hours=10), tick=False):
        after = cut_as_listed(phone_client, make(phone_client))
        said = "Cut 19 heads of P26-001 green butterhead, Mon 4 May 2026, for the list of Tue 5 May 2026"
        assert said_in(after) == said
        assert lines_of(after, "Cut")[0].endswith("✓ 19 of 19 cut 19 heads")
        assert "1 of 2 lines done" in text_of(after)
        assert "may change the list" not in text_of(after)
        pick = Pick.objects.get()
        assert (pick.picked_on, pick.cut_for.pick_on) == (TUESDAY - timedelta(days=1), TUESDAY)
    with time_machine.travel(NOW + timedelta(hours=11), tick=False):
        again = make(phone_client)
        assert lines_of(again, "From the cold room first")[0].startswith("19 heads green butterhead as cut")
        assert [one.split(" ")[-2] for one in lines_of(again, "Cut")] == ["1", "10"]
        assert "0 of 2 lines done" in text_of(again)
    undone = phone_client.post(reverse("undo-entry", args=[pick.entry_id]), {"once": "undo"}, follow=True)
    assert undone.status_code == 200
    assert "0 of 2 lines done" in text_of(phone_client.get(LIST, {"day": TUESDAY}))


def test_half_a_line_of_tomorrow_is_half_done(phone_client, order):
    page = make(phone_client)
    stay = PickLine.objects.get(position=1).stay_id
    typed = {"once": "half", "count": "12", "count_unit": "head", "stay": stay, "list_of": str(TUESDAY)}
    phone_client.post("/plantings/P26-001/pick/", typed)
    page = phone_client.get(LIST, {"day": TUESDAY})
    assert lines_of(page, "Cut")[0].endswith("◐ 12 of 19 cut 19 heads")
    assert "amount=7&" in unescape(page.content.decode())


@pytest.mark.case("P04")
def test_the_sheet_of_0540_is_old(phone_client, order):
    """Printed 05:40; at 06:10 the Inn wants 36 instead of 30: one line to cut and one to pack are different."""
    # grovida.us keeping-count; tinyfarmblog harvest-board.
    with time_machine.travel(AT_0540, tick=False):
        make(phone_client)
        first = PickSheet.objects.get()
        printed = phone_client.post(reverse("pick-sheet-printed", args=[first.pk]))
        assert (printed.status_code, printed["Location"]) == (303, f"/pick-list/{first.pk}/paper.pdf")
        assert "is old" not in text_of(phone_client.get(LIST, {"day": TUESDAY}))
    with time_machine.travel(AT_0540 + timedelta(minutes=30), tick=False):
        StandingOrder.objects.update(amount=36)
        an_entry("06:10", received_at=AT_0540 + timedelta(minutes=30))
        waiting = text_of(phone_client.get(LIST, {"day": TUESDAY}))
        assert "1 entry was made since; it may change the list." in waiting
        page = make(phone_client)
        assert "Sheet of 05:40 is old: 2 changes" in text_of(page)
        changes = re.findall(r"<li>(.*?)</li>", page.content.decode().partition("is old")[2].partition("</ul>")[0])
        assert changes == [
            "N-2, P26-001 green butterhead: cut 17 heads instead of 11",
            "butterhead lettuce: pack 36 heads instead of 30: Inn 36 instead of 30",
        ]


def test_without_a_price_it_says_what_is_missing_and_the_list_before_stays(phone_client, order):
    make(phone_client)
    Price.objects.all().delete()
    refused = make(phone_client)
    assert refused.status_code == 422
    assert "butterhead lettuce has no price at Inn on 2026-05-05. Add a row for it." in text_of(refused)
    assert len(lines_of(refused, "Cut")) == 2


@pytest.mark.parametrize("lines", [3, 300])
def test_the_page_asks_the_database_as_often_for_many_as_for_few(phone_client, django_assert_num_queries, lines):
    sheet = PickSheet.objects.create(pick_on=TUESDAY, version=2, made_at=NOW)
    old = PickSheet.objects.create(pick_on=TUESDAY, version=1, made_at=NOW, printed_at=NOW)
    for number in range(lines):
        planting = some_planting(f"L-{number}")
        facts = {"planting": planting, "unit": "head", "packed_unit": "head"}
        PickLine.objects.create(sheet=sheet, position=number, amount=5, packed=5, **facts)
        PickLine.objects.create(sheet=old, position=number, amount=4, packed=4, **facts)
    with django_assert_num_queries(8):
        page = phone_client.get(LIST, {"day": TUESDAY})
    assert len(lines_of(page, "Cut")) == lines
    assert Entry.objects.count() == lines


@pytest.mark.parametrize("day", ["2026-02-30", "0001-01-01", "9999-12-31"])
def test_a_day_that_is_none_is_not_found(phone_client, day):
    assert phone_client.get(LIST, {"day": day}).status_code == 404
    assert phone_client.post(LIST, {"day": day}).status_code == 404
