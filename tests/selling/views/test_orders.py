"""The pages of orders and boxes."""

import html
import re
from datetime import date, timedelta

import pytest

from farmops.growing.models import Item
from farmops.selling.models import BoxCount, StandingOrder, Want
from tests.journal.entries import an_entry
from tests.selling.market import an_item
from tests.selling.orders import a_box, a_buyer, a_count, an_order

pytestmark = pytest.mark.django_db
FRIDAY = date(2026, 5, 8)


def words(answer):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def typed_in(answer, name):
    return re.search(rf'name="{name}" value="([^"]*)"', answer.content.decode()).group(1)


def test_the_coming_two_weeks_and_what_stands(phone_client):
    an_order(typed="12", first_on=FRIDAY, every_weeks=2)
    a_count(date(2026, 5, 4), size="full", boxes=20, typed="2")
    an_order(a_buyer("Inn"), typed="3", first_on=date(2026, 4, 3), last_on=date(2026, 5, 1))
    answer = phone_client.get("/orders/")
    page = answer.context["page"]
    assert [(day, [(one.wanted.outlet.name, one.amount) for one in lines]) for day, lines in page.days] == [
        (date(2026, 5, 7), [("weekly box", "40")]),
        (FRIDAY, [("Bistro", "12")]),
    ]
    assert [(one.row.buyer.name, one.next_on) for one in page.orders] == [("Bistro", FRIDAY)]
    assert "weekly box full 20 × 2 sweet basil" in words(answer)


def test_not_this_time_is_one_press_and_can_be_undone(phone_client):
    an_order()
    typed = {"outlet": a_buyer().pk, "item": an_item().pk, "day": "2026-05-08"}
    answer = phone_client.post("/orders/", {"once": "not", **typed}, follow=True)
    assert "Bistro: no sweet basil on Fri 8 May 2026" in words(answer)
    want = Want.objects.get()
    assert (want.amount, want.replaces_standing, want.wanted_on) == (0, True, FRIDAY)
    assert f"/entries/{want.entry_id}/undo/" in answer.content.decode()


def test_a_standing_order_is_added_and_what_is_wrong_comes_back_as_typed(phone_client):
    form = {"buyer": a_buyer().pk, "item": an_item().pk, "weekday": "4", "every_weeks": "2", "first_on": "2026-05-08"}
    answer = phone_client.post("/orders/new/", {"once": "new", "amount": "12,500", **form})
    assert (answer.status_code, typed_in(answer, "amount"), typed_in(answer, "once")) == (422, "12,500", "new")
    phone_client.post("/orders/new/", {"once": "new", "amount": "12", **form})
    order = StandingOrder.objects.get()
    assert (order.amount, order.every_weeks, order.first_on) == (12, 2, FRIDAY)


def test_an_order_is_changed_from_a_day_on_and_ended(phone_client):
    order = an_order(first_on=FRIDAY)
    address = f"/orders/{order.pk}/"
    assert typed_in(phone_client.get(address), "amount") == "12"
    phone_client.post(address, {"once": "20", "what": "change", "amount": "20", "from_on": "2026-05-15"})
    assert list(StandingOrder.objects.order_by("pk").values_list("amount", "last_on")) == [
        (12, date(2026, 5, 14)),
        (20, None),
    ]
    later = StandingOrder.objects.latest("pk")
    phone_client.post(f"/orders/{later.pk}/", {"once": "end", "what": "end", "from_on": "2026-05-22"})
    later.refresh_from_db()
    assert later.last_on == date(2026, 5, 22)


def test_wanted_once_beside_or_instead(phone_client):
    an_order()
    form = {"outlet": a_buyer().pk, "item": an_item().pk, "wanted_on": "2026-05-08"}
    phone_client.post("/orders/once/", {"once": "5", "amount": "5", **form})
    phone_client.post("/orders/once/", {"once": "20", "amount": "20", "instead": "on", "note": "wedding", **form})
    assert list(Want.objects.order_by("pk").values_list("amount", "replaces_standing", "note")) == [
        (5, False, ""),
        (20, True, "wedding"),
    ]
    answer = phone_client.get("/orders/")
    assert "Bistro 20 sweet basil this once, instead · wedding" in words(answer)


def test_boxes_are_added_changed_and_ended(phone_client):
    form = {"box": a_box().pk, "item": an_item().pk, "size": "full", "first_on": "2026-05-04", "last_on": "2026-05-29"}
    phone_client.post("/orders/boxes/", {"once": "new", "amount": "2", "boxes": "20", **form})
    count = BoxCount.objects.get()
    assert (count.boxes, count.amount, count.last_week) == (20, 2, date(2026, 5, 25))
    change = {"what": "change", "boxes": "25", "amount": "2", "from_on": "2026-05-12"}
    phone_client.post(f"/orders/boxes/{count.pk}/", {"once": "25", **change})
    later = BoxCount.objects.latest("pk")
    assert (later.boxes, later.first_week) == (25, date(2026, 5, 11))
    phone_client.post(f"/orders/boxes/{later.pk}/", {"once": "end", "what": "end", "from_on": "2026-05-20"})
    later.refresh_from_db()
    assert later.last_week == date(2026, 5, 18)


def test_a_year_mistyped_is_said(phone_client):
    order = an_order(first_on=FRIDAY)
    answer = phone_client.post(
        f"/orders/{order.pk}/", {"once": "x", "what": "change", "amount": "2", "from_on": "9999-12-31"}
    )
    assert (answer.status_code, "The year 9999 is mistyped, it seems." in words(answer)) == (422, True)


def test_names_stand_in_natural_order(phone_client):
    for name in ("Inn 10", "Inn 9", "Élan"):
        a_buyer(name)
    choices = re.search(r'<select name="buyer".*?</select>', phone_client.get("/orders/new/").content.decode(), re.S)
    assert re.findall(r">([^<]+)</option>", choices.group()) == ["–", "Élan", "Inn 9", "Inn 10"]


def test_a_question_keeps_which_button_was_pressed(phone_client):
    an_order()
    form = {"buyer": a_buyer().pk, "item": an_item().pk, "weekday": "4", "every_weeks": "1", "amount": "5"}
    answer = phone_client.post("/orders/new/", {"once": "again", **form})
    assert (answer.status_code, answer.context["question"]) == (422, "besides")
    phone_client.post("/orders/new/", {"once": "again", "yes": "besides", **form})
    assert StandingOrder.objects.count() == 2


@pytest.mark.parametrize("count", [3, 300])
def test_the_same_questions_for_every_length(phone_client, count, django_assert_num_queries):
    entry, item, buyer = an_entry("orders"), an_item(), a_buyer()
    StandingOrder.objects.bulk_create(
        StandingOrder(buyer=buyer, item=item, weekday=4, amount=number + 1, entry=entry) for number in range(count)
    )
    BoxCount.objects.bulk_create(
        BoxCount(box=a_box(), first_week=FRIDAY - timedelta(4), boxes=2, item=item, amount=1, entry=entry)
        for _number in range(count)
    )
    assert Item.objects.count() == 1
    with django_assert_num_queries(11):
        phone_client.get("/orders/")
