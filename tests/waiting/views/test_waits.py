"""The pages of "do not cut before" and of lifting it."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.urls import reverse

from farmops.waiting.models import DoNotCut, Lifted
from tests.growing.beds import NOW, a_planting, a_space, a_stay
from tests.pages import great_in, key_in, refusals, send, text_of, typed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting(db):
    planting = a_planting()
    a_stay(planting, a_space("F-7", 120), 70)
    a_stay(planting, a_space("F-8", 120), 50)
    return planting


@pytest.fixture
def address(planting):
    return reverse("do-not-cut", args=[planting.code])


def test_a_reason_and_a_day_are_enough(phone_client, planting, address):
    page = phone_client.get(address)
    assert (great_in(page), typed_in(page, "before_day")) == (["Do not cut before then"], "2026-05-05")
    typed = {"once": key_in(page), "reason": "soap spray", "before_day": "2026-05-07", "before_time": "16:30"}
    done = phone_client.post(address, {**typed, "next": "/spaces/"})
    assert (done.status_code, done["Location"]) == (303, "/spaces/")
    wait = DoNotCut.objects.get()
    assert (wait.before, wait.stay) == (datetime(2026, 5, 7, 20, 30, tzinfo=UTC), None)
    text = text_of(phone_client.get(address))
    assert "Do not cut P-1 green butterhead in F-7, F-8 before Thu 7 May 2026, 16:30: soap spray (Ines) Lift it" in text


def test_a_wait_that_ends_today_is_shown_until_its_hour(phone_client, address):
    send(phone_client, address, reason="rinse first", before_day="2026-05-04", before_time="10:00")
    shown = []
    for minutes in (59, 60):  # the page was made at 09:00; nothing is noted in between
        with time_machine.travel(NOW + timedelta(minutes=minutes), tick=False):
            shown.append("rinse first" in text_of(phone_client.get(address)))
    assert shown == [True, False]


def test_it_may_be_one_space_and_have_no_end(phone_client, planting, address):
    stay = planting.stays.get(space__name="F-8")
    send(phone_client, address, reason="mildew?", stay=str(stay.pk))
    wait = DoNotCut.objects.get()
    assert (wait.stay, wait.before) == (stay, None)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"reason": ""}, "Say why it must not be cut."),
        (
            {"reason": "soap", "before_day": "2026-05-04", "before_time": "08:59"},
            "That moment is over already. Choose a later one.",
        ),
        ({"reason": "soap", "before_day": "31.2."}, "That day does not exist. Choose another."),
        ({"reason": "soap", "before_time": "16:30"}, "Say which day, too."),
        ({"reason": "soap", "before_day": "2026-05-07", "before_time": "noon"}, "Type the time like 07:10."),
    ],
)
def test_what_cannot_be_comes_back_as_typed(phone_client, address, typed, words):
    refused = send(phone_client, address, **typed)
    assert (refused.status_code, refusals(refused), DoNotCut.objects.count()) == (422, [words], 0)
    assert typed_in(refused, "reason") == typed["reason"]


def test_a_stay_of_another_planting_is_not_found(phone_client, address):
    other = a_stay(a_planting("P-2"), a_space("F-9", 120))
    assert send(phone_client, address, reason="soap", stay=str(other.pk)).status_code == 404


def test_it_is_lifted_with_a_reason(phone_client, address):
    send(phone_client, address, reason="mildew?")
    lift = reverse("lift-wait", args=[DoNotCut.objects.get().pk])
    assert "Do not cut P-1 green butterhead until it is lifted: mildew? · Ines" in text_of(phone_client.get(lift))
    assert refusals(send(phone_client, lift)) == ["Say why it may be cut after all."]
    assert send(phone_client, lift, reason="it was dust")["Location"] == address
    assert Lifted.objects.get().reason == "it was dust"
    assert "mildew?" not in text_of(phone_client.get(address))


@pytest.mark.parametrize("waits", [3, 300])
def test_the_page_asks_as_often_for_many_waits(phone_client, planting, address, django_assert_num_queries, waits):
    DoNotCut.objects.bulk_create(
        DoNotCut(planting=planting, reason=f"reason {number}", entry=planting.entry) for number in range(waits)
    )
    with django_assert_num_queries(10):
        page = phone_client.get(address)
    assert page.content.decode().count(">Lift it<") == waits
