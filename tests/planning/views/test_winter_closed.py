"""The page of closed days."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from farmops.farm.models import ClosedDays
from farmops.selling.models import OutletClosedDays
from tests.pages import chosen_in, key_in, refusals, rows_of, said_in, send, text_of, typed_in
from tests.selling.market import the_market

pytestmark = pytest.mark.django_db
PAGE = reverse("closed-days")


def test_days_are_closed_and_opened_on_one_page(office_client):
    market = the_market()
    page = send(office_client, PAGE, outlet=market.pk, first_on="2026-07-04", reason="holiday")
    assert (page.status_code, page["Location"]) == (303, PAGE)
    shown = office_client.get(PAGE)
    assert said_in(shown) == "Quillby Green closed Sat 4 Jul 2026"
    assert rows_of(shown, "li") == [
        "Sat 4 Jul 2026 Quillby Green · week 27 · holiday Open again Quillby Green Sat 4 Jul 2026"
    ]
    row = OutletClosedDays.objects.get()
    address = reverse("open-again", args=["outlet", row.pk])
    assert office_client.post(address, {"once": "open"}).status_code == 303
    assert "No day to come is closed." in text_of(office_client.get(PAGE))
    again = office_client.post(address, {"once": "open twice"})
    assert (again.status_code, refusals(again)) == (422, ["These days are open again already."])


def test_the_form_is_filled_in_by_the_address_and_goes_back_to_where_one_came_from(office_client):
    market = the_market()
    asked = {
        "outlet": market.pk,
        "first_on": "2027-07-03",
        "last_on": "2027-07-03",
        "reason": "fair",
        "next": "/orders/",
    }
    shown = office_client.get(PAGE, asked)
    assert [typed_in(shown, name) for name in ("first_on", "last_on", "reason")] == ["2027-07-03", "2027-07-03", "fair"]
    assert chosen_in(shown, "outlet") == str(market.pk)
    page = office_client.post(PAGE, {**asked, "once": key_in(shown)})
    assert page["Location"] == "/orders/"


def test_what_is_refused_stays_as_it_was_typed(office_client):
    page = send(office_client, PAGE, first_on="2026-07-04", last_on="2026-07-03", reason="why not")
    assert (page.status_code, refusals(page)) == (422, ["The last closed day must not come before the first."])
    assert [typed_in(page, name) for name in ("first_on", "last_on", "reason")] == [
        "2026-07-04",
        "2026-07-03",
        "why not",
    ]
    assert ClosedDays.objects.count() == 0


def test_only_farm_and_outlet_have_closed_days(office_client):
    assert office_client.post("/closed-days/barn/1/open/", {"once": "x"}).status_code == 404


@pytest.mark.parametrize("number", [3, 300])
def test_as_many_queries_for_many_as_for_few(office_client, django_assert_num_queries, number):
    first = date(2026, 7, 4)
    days = [first + timedelta(days=2 * one) for one in range(number)]
    ClosedDays.objects.bulk_create(ClosedDays(first_on=day, last_on=day) for day in days)
    market = the_market()
    OutletClosedDays.objects.bulk_create(OutletClosedDays(outlet=market, first_on=day, last_on=day) for day in days)
    with django_assert_num_queries(7):
        page = office_client.get(PAGE)
    assert page.content.decode().count("Open again") == 2 * number
