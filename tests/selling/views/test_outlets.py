"""The pages of outlets and prices: for growers and the office."""

import html
import re
from datetime import date, time

import pytest

from farmops.journal.undo import undo
from farmops.selling.models import Outlet, OutletClosedDays, Price
from farmops.selling.set_price import add_outlet, set_price
from tests.selling.market import an_item, saying, the_market

pytestmark = pytest.mark.django_db


def words(answer):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def test_where_is_sold_and_for_how_much(office_client):
    an_item()
    set_price(saying=saying("own"), item=an_item(), outlet=the_market(), typed="4.25", from_on=date(2026, 6, 1))
    gone = add_outlet(saying=saying("gone"), name="Gone", kind="buyer", weekday=1).entry
    undo(saying("undo", corrects=gone))
    undone = set_price(saying=saying("undone"), item=an_item(), outlet=the_market(), typed="9", from_on=None).entry
    undo(saying("undo price", corrects=undone))
    assert "Gone" not in words(office_client.get("/orders/new/"))
    page = office_client.get("/outlets/").context["page"]
    assert [line.outlet.name for line in page.outlets] == ["Quillby Green"]
    assert [(line.money, line.where, line.price.from_on) for line in page.prices] == [
        ("$4.00", "", None),
        ("$4.25", "Quillby Green", date(2026, 6, 1)),
    ]


def test_an_outlet_is_added_changed_and_closed_for_a_day(office_client):
    form = {"name": "Pond Street", "kind": "market", "weekday": "2", "opens": "15:00", "closes": "18:30"}
    office_client.post("/outlets/new/", {"once": "new", **form})
    one = Outlet.objects.get()
    assert (one.weekday, one.opens_minute, one.closes_minute, one.last_on) == (2, 900, 1110, None)
    change = {"weekday": "3", "opens": "", "closes": "19:00", "first_on": "2026-05-06", "last_on": ""}
    office_client.post(f"/outlets/{one.pk}/", {"once": "change", **change})
    one.refresh_from_db()
    assert (one.weekday, one.opens_minute, one.closes_minute, one.first_on) == (3, 900, 1140, date(2026, 5, 6))
    answer = office_client.post(f"/outlets/{one.pk}/closed/", {"once": "closed", "first_on": "2026-05-14"}, follow=True)
    assert OutletClosedDays.objects.get().last_on == date(2026, 5, 14)
    assert "closed Thu 14 May – Thu 14 May" in words(answer)


def test_what_is_wrong_comes_back_as_typed(office_client):
    the_market()
    form = {"name": "quillby green", "kind": "market", "weekday": "2", "opens": time(8), "closes": time(7)}
    answer = office_client.post("/outlets/new/", {"once": "new", **form})
    assert (answer.status_code, "There is an outlet of that name already." in words(answer)) == (422, True)
    assert 'name="name" value="quillby green"' in answer.content.decode()


def test_a_price_is_put_for_all_outlets_or_one(office_client):
    item = an_item(cents=None)
    office_client.post("/prices/", {"once": "all", "item": item.pk, "outlet": "", "price": "4", "from_on": ""})
    form = {"item": item.pk, "outlet": the_market().pk, "price": "$4.50", "from_on": "2026-06-01"}
    office_client.post("/prices/", {"once": "own", **form})
    assert list(Price.objects.order_by("pk").values_list("outlet__name", "price_cents", "from_on")) == [
        (None, 400, None),
        ("Quillby Green", 450, date(2026, 6, 1)),
    ]


@pytest.mark.parametrize("count", [3, 300])
def test_the_same_questions_for_every_length(office_client, count, django_assert_num_queries):
    outlets = Outlet.objects.bulk_create(Outlet(name=f"inn {one}", kind="buyer", weekday=1) for one in range(count))
    item = an_item(cents=None)
    Price.objects.bulk_create(Price(item=item, outlet=outlet, price_cents=400) for outlet in outlets)
    with django_assert_num_queries(7):
        office_client.get("/outlets/")
