"""The page of how far off ready dates were."""

import re
from datetime import date

import pytest
from django.urls import reverse

from farmops.planning.standing_now import forget
from tests.pages import text_of
from tests.planning.past_plantings import six_lettuces
from tests.planning.small_farm import a_planting, moved

pytestmark = pytest.mark.django_db


def addresses_in(response):
    """Where the links between head and foot lead, in order."""
    return re.findall(
        r'<a [^>]*href="([^"]*)"', response.content.decode().partition("<main")[2].partition("</main>")[0]
    )


def test_the_table_opens_into_the_plantings_behind_it(phone_client):
    six_lettuces()
    page = phone_client.get(reverse("ready-dates"))
    words = text_of(page)
    assert "The ready dates of the last 6 plantings: on average" in words
    assert "The schedule alone would have been 5.5 days off." in words
    assert [one for one in addresses_in(page) if "of=" in one] == ["/ready-dates/?of=green%20butterhead"]
    opened = phone_client.get(reverse("ready-dates") + "?of=green%20butterhead")
    assert [address for address in addresses_in(opened) if "P26" in address] == [
        f"/plantings/P26-00{number}/" for number in (6, 5, 4, 3, 2, 1)
    ]
    # The last was moved on 16 March: 35 days later is 20 April; nothing on 24 April, the first head on the 26th.
    assert "P26-006 Mon 20 Apr" in text_of(opened)
    assert "Sat 25 Apr – Sun 26 Apr 5–6 days later Mon 20 Apr" in text_of(opened)


def test_a_variety_that_is_not_there_is_said_and_the_table_shown(phone_client):
    six_lettuces()
    words = text_of(phone_client.get(reverse("ready-dates") + "?of=Mizuna"))
    assert "Nothing of “Mizuna” came to its harvest in the last year." in words
    assert "The ready dates of the last 6 plantings" in words


def test_a_farm_that_begins_is_told_what_tells(phone_client):
    forget()
    words = text_of(phone_client.get(reverse("ready-dates")))
    assert "No planting was cut in the last year whose last stage was noted." in words


@pytest.mark.parametrize("more", [3, 300])
def test_as_many_queries_for_many_as_for_few(phone_client, django_assert_num_queries, more):
    variety = six_lettuces()
    for number in range(more):
        moved(a_planting(variety, f"P26-1{number:03d}", plants=2).stays.get(), "N-2", 1, date(2026, 3, 30))
    with django_assert_num_queries(5):
        phone_client.get(reverse("ready-dates"))
    with django_assert_num_queries(3):
        phone_client.get(reverse("ready-dates"))


def test_the_page_of_a_planting_and_the_list_of_all_lead_there(phone_client):
    variety = six_lettuces()
    moved(a_planting(variety, "P26-100").stays.get(), "N-2", 1, date(2026, 4, 20))
    for name, args in (("planting", ["P26-100"]), ("plantings", [])):
        addresses = addresses_in(phone_client.get(reverse(name, args=args)))
        assert [one.partition("?")[0] for one in addresses].count(reverse("ready-dates")) == 1
