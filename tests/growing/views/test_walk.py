"""The page of a walk: two touches, digits where there is a figure."""

import re

import pytest
from django.urls import reverse

from farmops.growing.models import Planting, Walk
from tests.growing.beds import a_planting, a_schedule, a_space, a_stay, a_variety
from tests.pages import great_in, key_in, plain, refusals, text_of, typed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(db):
    variety = a_variety()
    a_schedule(variety, ("finishing channel", 28, 1))
    planting = a_planting("P26-184", 30, variety=variety)
    a_stay(planting, a_space("F-7"), 18)
    a_stay(planting, a_space("F-8"), 12)
    return reverse("walk-past", args=["P26-184"])


def test_it_shows_what_to_look_at_and_its_four_answers(phone_client, address):
    page = phone_client.get(address)
    assert great_in(page) == [
        "As planned", "heads ready", "days late", "days early", "Finished: nothing more will come"
    ]  # fmt: skip
    assert text_of(page).startswith("green butterhead P26-184 F-7 18, F-8 12 ")
    few = re.findall(r'name="seen" value="(late \d+)">(.*?)</button>', page.content.decode())
    assert [(value, plain(words)) for value, words in few][:4] == [
        ("late 1", "1 day late"),
        ("late 2", "2 days late"),
        ("late 3", "3 days late"),
        ("late 4", "4 days late"),
    ]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"seen": "as planned"}, "as planned"),
        ({"seen": "ready", "figure": "80"}, "about 80 heads ready"),
        ({"seen": "ready", "figure": "0"}, "about 0 heads ready"),
        ({"seen": "late 4"}, "4 days late"),
        ({"seen": "late", "days": "5"}, "5 days late"),
        ({"seen": "early", "days": "2"}, "2 days early"),
        ({"seen": "late 4", "figure": "80"}, "about 80 heads ready, 4 days late"),
        ({"seen": "early", "days": "1", "figure": "80"}, "about 80 heads ready, 1 day early"),
        ({"seen": "finished"}, "finished"),
    ],
)
def test_each_answer_is_one_press(phone_client, address, typed, said):
    done = phone_client.post(address, {"once": key_in(phone_client.get(address)), **typed})
    assert (done.status_code, done["Location"]) == (303, reverse("spaces"))
    walk = Walk.objects.get()
    assert (walk.entry.said, walk.entry.by.name) == (f"P26-184 green butterhead: {said}", "Ines")
    assert f"Last seen Mon 4 May: {said} (Ines)" in text_of(phone_client.get(address))


def test_the_answers_of_one_page_have_keys_of_their_own(phone_client, address):
    """Back after "as planned", then "finished": that is a second walk, not the first one changed."""
    key = key_in(phone_client.get(address))
    assert key.endswith("-p")
    for seen, end in (("as planned", "-p"), ("finished", "-f")):
        phone_client.post(address, {"once": key.removesuffix("-p") + end, "seen": seen})
    assert list(Walk.objects.order_by("pk").values_list("is_as_planned", "is_finished")) == [
        (True, False),
        (False, True),
    ]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"seen": "ready", "figure": ""}, "Type how much; nothing typed is not taken for 0."),
        (
            {"seen": "ready", "figure": "80", "days": "4"},
            "Days are typed too. Press “days late” or “days early”; what is ready counts as well.",
        ),
        ({"seen": "late 11"}, "Say what you saw: as planned, so much ready, days late, or finished."),
        ({"seen": "late", "days": "soon"}, "“soon” cannot be read as an amount. Type it like 12.5, ½ or 2 lb 6 oz."),
        ({"figure": "5"}, "Say what you saw: as planned, so much ready, days late, or finished."),
        ({"seen": "late", "days": "200"}, "That is more than four months off. Is it another planting?"),
    ],
)
def test_what_cannot_be_read_comes_back(phone_client, address, typed, words):
    refused = phone_client.post(address, {"once": "a key", **typed})
    assert (refused.status_code, refusals(refused)) == (422, [words])
    assert [typed_in(refused, box) for box in ("figure", "days")] == [typed.get(box, "") for box in ("figure", "days")]


def test_enter_in_the_box_presses_no_button(phone_client, address):
    """The first button of that form is disabled, so that digits are never sent as something else."""
    form = phone_client.get(address).content.decode().split("<form")[2]
    assert form.index('<button type="submit" disabled hidden>') < form.index('value="ready"')


@pytest.mark.parametrize("walks", [3, 300])
def test_the_page_asks_as_often_after_many_walks(phone_client, address, django_assert_num_queries, walks):
    planting = Planting.objects.get()
    Walk.objects.bulk_create(
        Walk(planting=planting, seen_on=planting.sown_on, is_as_planned=True, entry=planting.entry)
        for _number in range(walks)
    )
    with django_assert_num_queries(9):
        phone_client.get(address)
