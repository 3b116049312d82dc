"""The page of lost plants."""

import pytest
from django.urls import reverse

from farmops.growing.balance import balance_of
from farmops.growing.models import Leaving
from tests.growing.beds import a_planting, a_space, a_stay
from tests.pages import key_in, refusals, send, text_of, typed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def stay(db):
    return a_stay(a_planting(), a_space("F-7", 120))


@pytest.fixture
def address(stay):
    return reverse("lose-plants", args=[stay.pk])


def test_the_cursor_stands_in_the_box_and_a_number_is_enough(phone_client, stay, address):
    page = phone_client.get(address)
    assert "autofocus" in page.content.decode().partition('name="plants"')[2].partition(">")[0]
    assert "P-1 · 120 plants in F-7" in text_of(page)
    done = phone_client.post(address, {"once": key_in(page), "plants": "5", "next": "/spaces/"})
    assert (done.status_code, done["Location"], balance_of(stay.planting).in_stays) == (303, "/spaces/", 115)


def test_a_cause_may_be_said_and_is_offered_the_next_time(phone_client, address):
    send(phone_client, address, plants="5", cause="slugs", day="2026-05-03")
    assert Leaving.objects.values_list("cause", "left_on").get()[0] == "slugs"
    assert '<option value="slugs">' in phone_client.get(address).content.decode()


@pytest.mark.parametrize(
    ("plants", "words"),
    [
        ("121", "120 plants are left in F-7, not 121."),
        ("", "Type how much; nothing typed is not taken for 0."),
        ("0", "Say how many: 1 or more."),
        ("2.5", "“2.5” is not a whole number."),
        ("-3", "“-3” is less than nothing. To take something back, undo or correct its entry."),
    ],
)
def test_a_wrong_number_comes_back_as_it_was_typed(phone_client, address, plants, words):
    refused = send(phone_client, address, plants=plants)
    assert (refused.status_code, refusals(refused), typed_in(refused, "plants")) == (422, [words], plants)


@pytest.mark.parametrize("losses", [3, 300])
def test_the_page_asks_as_often_after_many_losses(phone_client, stay, address, django_assert_num_queries, losses):
    rows = [
        Leaving(planting=stay.planting, stay=stay, how="lost", plants=1, left_on=stay.from_on, cause=f"c{n}")
        for n in range(losses)
    ]
    stay.planting.plants, stay.plants = 1000, 1000
    stay.planting.save(), stay.save()
    for row in rows:
        row.entry = stay.entry
    Leaving.objects.bulk_create(rows)
    with django_assert_num_queries(12):
        phone_client.get(address)
