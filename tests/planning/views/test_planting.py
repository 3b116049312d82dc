"""The page of a planting, and the list of all."""

from datetime import date

import pytest
from django.urls import reverse

from farmops.planning.standing_now import standing_now
from farmops.selling.models import Outlet, StandingOrder
from tests.journal.entries import an_entry
from tests.pages import links_of, text_of
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, an_item, moved, walked
from tests.planning.test_planting_page import a_pick

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    variety = a_variety()
    an_item(variety)
    planting = a_planting(variety)
    moved(planting.stays.get(), "N-1", 36, date(2026, 3, 30))
    return planting


def test_the_page_tells_its_life_and_leads_to_its_jobs(phone_client, planting):
    walked(planting, date(2026, 5, 3), ready=30, by_name="Maud")
    a_pick(planting, date(2026, 5, 4), 6)
    page = phone_client.get(reverse("planting", args=["p26-001"]))
    text = text_of(page)
    for words in (
        "green butterhead P26-001",
        "Sown Mon 9 Mar 2026, 72 plants. 56 days old, seed lot",
        "S-1 · 36 Mon 9 Mar · to channel since",
        "24 heads from Mon 4 May (week 19)",
        "6 head",
        "Sun 3 May 2026: about 30 ready · Maud",
    ):
        assert words in text
    jobs = [address.partition("?")[0] for address, _words in links_of(page, "button quiet")]
    shelf, channel = planting.stays.order_by("pk")
    assert jobs[:4] == [
        "/plantings/P26-001/walk/",
        "/plantings/P26-001/wait/",
        "/plantings/P26-001/clear/",
        "/plantings/P26-001/lost/",
    ]
    assert {f"/stays/{shelf.pk}/move/", f"/stays/{channel.pk}/move/"} < set(jobs)


def test_a_planting_nobody_knows_is_not_found(phone_client, planting):
    assert [phone_client.get(reverse(name, args=["X-1"])).status_code for name in ("planting", "crop-lost")] == [
        404,
        404,
    ]


def test_if_it_were_lost(phone_client, planting):
    text = text_of(phone_client.get(reverse("crop-lost", args=["P26-001"])))
    assert "34.2 head less (packed)." in text
    assert "Nobody would be short of it that week." in text
    assert "Sow again today: 1 × tray for as many plants. Ready about Mon 29 Jun 2026" in text


def test_an_order_of_a_minute_ago_would_be_short_too(phone_client, planting):
    address = reverse("crop-lost", args=["P26-001"])
    assert "Nobody would be short of it that week." in text_of(phone_client.get(address))
    buyer = Outlet.objects.create(name="The Anchor", kind="buyer", weekday=1)
    StandingOrder.objects.create(
        buyer=buyer, item=planting.variety.item_parts.get().item, weekday=1, amount=16, entry=an_entry("an order")
    )
    assert "The Anchor , Tue 5 May: short 16 of 16 butterhead lettuce" in text_of(phone_client.get(address))


@pytest.mark.parametrize("more", [3, 300])
def test_as_many_queries_for_many_as_for_few(phone_client, planting, django_assert_num_queries, more):
    for number in range(more):
        walked(planting, date(2026, 4, 1 + number % 28), is_as_planned=True) if number < 28 else None
        a_planting(planting.variety, f"P26-1{number:03d}")
    standing_now(TODAY)
    with django_assert_num_queries(13):
        phone_client.get(reverse("planting", args=["P26-001"]))
    with django_assert_num_queries(8):  # until somebody writes something down
        phone_client.get(reverse("planting", args=["P26-001"]))
    with django_assert_num_queries(4):
        phone_client.get(reverse("plantings"))
    with django_assert_num_queries(15):
        phone_client.get(reverse("crop-lost", args=["P26-001"]))
    with django_assert_num_queries(5):  # until somebody writes something down
        phone_client.get(reverse("crop-lost", args=["P26-001"]))
