"""The list of markets."""

from datetime import date, timedelta

import pytest

from farmops.farm.models import ClosedDays
from farmops.selling.call_off import call_off
from farmops.selling.models import MarketDay, Outlet, OutletClosedDays
from tests.selling.market import SATURDAY, a_line, an_item, back, loaded, saying, the_market

pytestmark = pytest.mark.django_db


def states(rows):
    return [(row.held_on, row.outlet.name, row.state) for row in rows]


def test_days_to_come_stand_there_with_what_is_closed_left_out(phone_client):
    OutletClosedDays.objects.create(outlet=the_market(), first_on=date(2026, 5, 16), last_on=date(2026, 5, 16))
    ClosedDays.objects.create(first_on=date(2026, 5, 13), last_on=date(2026, 5, 13))
    the_market("Pond Street", 2)
    listed = phone_client.get("/markets/").context["list"]
    assert states(listed.ahead) == [
        (date(2026, 5, 6), "Pond Street", "not on the list yet"),
        (date(2026, 5, 9), "Quillby Green", "not on the list yet"),
        (date(2026, 5, 20), "Pond Street", "not on the list yet"),
        (date(2026, 5, 23), "Quillby Green", "not on the list yet"),
    ]


def test_how_far_each_day_is(phone_client):
    held = a_line()
    loaded(held, "40")
    loaded(a_line(an_item("chard")), "20")
    loaded(a_line(an_item("cilantro")), "0")
    back(held, home=4)
    nothing = a_line(held_on=SATURDAY - timedelta(days=7))
    off = a_line(held_on=SATURDAY - timedelta(days=14))
    call_off(saying=saying("off"), market_day=off.market_day)
    ahead = a_line(held_on=SATURDAY + timedelta(days=7))
    loaded(ahead, "40")
    listed = phone_client.get("/markets/").context["list"]
    assert [row.state for row in listed.behind] == [
        "1 item: what came back is not known",
        "evening not done",
        "called off",
    ]
    assert [row.state for row in listed.ahead][:2] == ["1 item loaded", "not on the list yet"]
    assert nothing.market_day in [row.day for row in listed.behind]


def test_one_press_puts_a_day_on_the_list_and_a_second_phone_is_told(phone_client):
    an_item()
    typed = {"outlet": the_market().pk, "held_on": "2026-05-09"}
    answer = phone_client.post("/markets/", {"once": "one", **typed}, follow=True)
    assert "Quillby Green, Sat 9 May 2026, is on the list" in answer.content.decode()
    assert [line.item.name for line in MarketDay.objects.get().lines.all()] == ["sweet basil"]
    answer = phone_client.post("/markets/", {"once": "two", **typed})
    assert (answer.status_code, "is on the list already" in answer.content.decode()) == (422, True)


def test_a_market_day_forgotten_or_out_of_the_ordinary_is_put_on_the_list_too(phone_client):
    the_market("Hall 10"), the_market("Hall 9")
    assert [one.name for one in phone_client.get("/markets/").context["list"].outlets] == ["Hall 9", "Hall 10"]
    typed = {"outlet": the_market("Hall 9").pk, "held_on": "2026-04-29"}
    phone_client.post("/markets/", {"once": "forgotten", **typed})
    assert MarketDay.objects.get().held_on == date(2026, 4, 29)
    answer = phone_client.post("/markets/", {"once": "wrong", "outlet": typed["outlet"], "held_on": "29/4"})
    assert (answer.status_code, 'value="29/4"' in answer.content.decode()) == (422, True)


def test_one_more_item(phone_client):
    line, chard = a_line(), an_item("chard")
    page = phone_client.get(f"/markets/{line.market_day_id}/items/")
    assert [item.name for item in page.context["items"]] == ["chard"]
    phone_client.post(f"/markets/{line.market_day_id}/items/", {"once": "add", "item": chard.pk})
    assert sorted(one.item.name for one in line.market_day.lines.all()) == ["chard", "sweet basil"]
    wrong = phone_client.post(f"/markets/{line.market_day_id}/items/", {"once": "none", "item": ""})
    assert (wrong.status_code, "Choose an item." in wrong.content.decode()) == (422, True)


@pytest.mark.parametrize("count", [3, 300])
def test_the_same_questions_for_every_length(phone_client, count, django_assert_num_queries):
    first = a_line().market_day
    facts = {"kind": "market", "weekday": 5}
    outlets = Outlet.objects.bulk_create(Outlet(name=f"market {number}", **facts) for number in range(count))
    hours = {"opens_minute": 480, "closes_minute": 780}
    MarketDay.objects.bulk_create(
        MarketDay(outlet=outlet, held_on=SATURDAY, entry=first.entry, **hours) for outlet in outlets
    )
    with django_assert_num_queries(9):
        phone_client.get("/markets/")
