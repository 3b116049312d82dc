"""The day book's pages, and how a job's page answers."""

import re
from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from farmops.farm.models import ClosedDays, Farm
from farmops.growing.lose_plants import lose_plants
from farmops.journal.deed import Saying, change, do_once
from farmops.journal.models import Entry, Job
from tests.growing.beds import a_planting, a_space, a_stay, saying
from tests.pages import refusals, typed_in

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 12, 30, tzinfo=UTC)
TODAY = date(2026, 5, 4)


@pytest.fixture(autouse=True)
def farm(db):
    return Farm.objects.create(name="Mill Bend (invented)", latitude="42.4", time_zone="America/New_York")


def close_a_day(number: int) -> Entry:
    def write(entry):
        ClosedDays.objects.create(first_on=TODAY, last_on=TODAY, reason=f"closed {number}")
        return f"Closed a day, {number}", {}

    said = Saying(key=f"k-{number}", body={"n": number}, day=TODAY, said_at=NOW, now=NOW)
    return do_once(said, Job.SET, write).entry


def rows_of(response) -> list[str]:
    rows = re.findall(r"<li>(.*?)</li>", response.content.decode(), re.S)
    return [" ".join(re.sub(r"<[^>]+>", " ", row).split()) for row in rows]


def key_in(response) -> str:
    return re.search(r'name="once" value="([^"]+)"', response.content.decode())[1]


def test_the_newest_stands_first_at_the_farms_time(phone_client):
    close_a_day(1), close_a_day(2)
    assert rows_of(phone_client.get(reverse("day-book"))) == [
        "Closed a day, 2 08:30 Take back Closed a day, 2",
        "Closed a day, 1 08:30 Take back Closed a day, 1",
    ]


def test_an_empty_day_says_that_nothing_was_written(phone_client):
    page = phone_client.get(reverse("day-book"), {"day": "2026-05-03"}).content.decode()
    assert "Nothing was written down for this day. That is not the same as nothing done." in page


def test_a_day_that_is_none_is_not_found(phone_client):
    assert phone_client.get(reverse("day-book"), {"day": "2026-02-30"}).status_code == 404


@pytest.mark.parametrize("entries", [3, 300])
def test_the_page_asks_the_database_as_often_for_many_as_for_few(phone_client, django_assert_num_queries, entries):
    for number in range(entries):
        close_a_day(number)
    with django_assert_num_queries(4):
        response = phone_client.get(reverse("day-book"))
    assert len(rows_of(response)) == entries


def test_undo_is_shown_struck_through_and_cannot_be_done_twice(phone_client):
    entry = close_a_day(1)
    address = reverse("undo-entry", args=[entry.pk])
    form = phone_client.get(address)
    sent = {"once": key_in(form)}
    done = phone_client.post(address, sent)
    assert (done.status_code, done["Location"]) == (303, "/day-book/?day=2026-05-04")
    again = phone_client.post(address, sent)
    assert (again.status_code, Entry.objects.count()) == (303, 2)
    assert rows_of(phone_client.get(reverse("day-book"))) == [
        "Taken back: Closed a day, 1 09:00 · Ines",
        "Closed a day, 1 08:30 · no longer counts",
    ]
    other = phone_client.post(address, {"once": "another-form"})
    assert other.status_code == 422
    words = "Somebody has just corrected this entry. Look at it again before you change it."
    assert re.findall(r"<p>(.*?)</p>", other.content.decode().partition('role="alert">')[2].partition("</div>")[0]) == [
        words
    ]
    assert key_in(other) == "another-form"


def test_where_to_go_next_is_one_of_our_own_pages(phone_client):
    address = reverse("undo-entry", args=[close_a_day(1).pk])
    there = phone_client.post(address, {"once": "one", "next": "https://elsewhere.example/"})
    assert there["Location"] == "/day-book/?day=2026-05-04"


@pytest.mark.parametrize("key", [None, "", " ", "k" * 81], ids=["none", "empty", "blank", "too long"])
def test_a_form_without_its_key_comes_back_with_one_and_then_works(phone_client, key):
    address = reverse("undo-entry", args=[close_a_day(1).pk])
    refused = phone_client.post(address, {} if key is None else {"once": key})
    assert (refused.status_code, Entry.objects.count()) == (422, 1)
    assert "This form came without its key, so nothing was saved. Send it once more." in refused.content.decode()
    assert phone_client.post(address, {"once": key_in(refused)}).status_code == 303


def test_a_refusal_names_what_came_after(phone_client):
    ClosedDays.objects.create(first_on=TODAY, last_on=TODAY, reason="holiday")

    def note(reason):
        def write(entry):
            change(entry, ClosedDays.objects.get(), reason=reason)
            return f"Closed for {reason}", {}

        return do_once(Saying(key=reason, body={}, day=TODAY, said_at=NOW, now=NOW), Job.SET, write).entry

    first = note("frost")
    note("snow")
    refused = phone_client.post(reverse("undo-entry", args=[first.pk]), {"once": "one"})
    assert refused.status_code == 422
    assert "“Closed for snow” came after it. Take that back first." in refused.content.decode()
    assert ClosedDays.objects.get().reason == "snow"


def test_an_undo_for_which_there_is_no_room_asks_for_a_word_and_then_takes_it(phone_client):
    """18 holes: 12 plants lost by a slip, 12 others moved in since; taking the loss back puts 24 there."""
    channel = a_space("F-1")
    stay = a_stay(a_planting("P-1", 12), channel)
    lost = lose_plants(saying=saying("lost"), stay=stay, plants=12).entry
    a_stay(a_planting("P-2", 12), channel)
    address = reverse("undo-entry", args=[lost.pk])
    page = phone_client.get(address)
    assert 'name="because"' not in page.content.decode()
    refused = phone_client.post(address, {"once": key_in(page)})
    assert refused.status_code == 422
    assert refusals(refused) == [
        "F-1 has 18 places; with this 24 would be taken on Mon 4 May. "
        "Move plants out of it first, so that 6 places come free, or say why it may be over-full."
    ]
    too_long = phone_client.post(address, {"once": key_in(refused), "because": "x" * 201})
    assert (too_long.status_code, typed_in(too_long, "because")) == (422, "x" * 201)
    done = phone_client.post(address, {"once": key_in(refused), "because": "they go on Wednesday"})
    assert done.status_code == 303
    stay.refresh_from_db()
    assert (stay.is_over, stay.over_full_because) == (False, "they go on Wednesday")
