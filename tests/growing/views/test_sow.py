"""The pages of a sowing: what was planned at one press, or something new."""

import re

import pytest
from django.urls import reverse

from farmops.growing.models import Planting, SeedLot, Stay
from farmops.growing.plan_sowing import plan_sowing
from farmops.journal.models import Entry
from tests.growing.beds import TODAY, a_planting, a_schedule, a_space, a_stay, a_variety, saying
from tests.pages import great_in, key_in, refusals, send, text_of, typed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def basil(db):
    variety = a_variety("sweet basil", crop="basil", part="half tray", part_plants=36)
    a_schedule(variety, ("seedling shelf", 21, 72), ("finishing channel", 28, 1))
    SeedLot.objects.create(name="L26-10", variety=variety)
    return variety


@pytest.fixture
def planned(basil):
    key = plan_sowing(saying=saying("plan"), variety=basil, plants=108, sow_on=TODAY).answer["planting"]
    return Planting.objects.get(pk=key)


def hidden_in(response, name):
    return re.search(rf'name="{name}" value="([^"]*)"', response.content.decode())[1]


def press(client, address):
    page = client.get(address)
    sent = {name: hidden_in(page, name) for name in ("once", "plants", "seed_lot", "into")}
    return client.post(address, {**sent, "what": "sown"})


def test_what_was_planned_is_sown_at_one_press_with_its_number_shown(phone_client, planned):
    a_space("S-1", 8, "seedling shelf")
    address = reverse("sow-planned", args=[planned.code])
    page = phone_client.get(address)
    assert great_in(page)[0] == "3 × half tray sown → S-1"
    assert text_of(page).startswith(
        "Sow sweet basil Tray number P26-001 Seed lot L26-10 · planned for Mon 4 May · ready about Mon 22 Jun, week 26"
    )
    done = press(phone_client, address)
    assert (done.status_code, done["Location"]) == (303, reverse("sow"))
    planned.refresh_from_db()
    assert (planned.state, planned.seed_lot.name, Stay.objects.get().plants) == ("done", "L26-10", 108)
    assert "P26-001 is done already." in text_of(phone_client.get(address))


@pytest.mark.parametrize("key", ["²", "-1", "1_0", "", "9" * 5000])
def test_an_address_that_names_no_variety_asks_which(phone_client, basil, key):
    answer = phone_client.get(reverse("sow"), {"variety": key})
    assert (answer.status_code, answer.context["varieties"]) == (200, [basil])


def test_where_there_is_room_for_fewer_trays_those_are_offered(phone_client, planned):
    a_space("S-1", 1, "seedling shelf")
    address = reverse("sow-planned", args=[planned.code])
    page = phone_client.get(address)
    assert great_in(page)[0] == "2 × half tray sown → S-1"
    assert "There is room for 72 of 108 plants. What is not sown stays planned." in text_of(page)
    press(phone_client, address)
    assert list(Planting.objects.order_by("pk").values_list("code", "state", "plants")) == [
        ("P26-001", "done", 72),
        ("P26-002", "planned", 36),
    ]


def test_fewer_trays_are_digits_and_save(phone_client, planned):
    a_space("S-1", 8, "seedling shelf")
    send(phone_client, reverse("sow-planned", args=[planned.code]), parts="1", what="sown", seed_lot="L26-10")
    planned.refresh_from_db()
    assert (planned.plants, Stay.objects.get(state="done").space.name) == (36, "S-1")


def test_something_new_begins_with_its_variety(phone_client, basil):
    a_variety("mizuna", crop="mizuna")
    page = phone_client.get(reverse("sow"))
    assert re.findall(r'<a class="button quiet" href="([^"]*)">(.*?)</a>', page.content.decode()) == [
        (f"/plantings/new/?variety={basil.pk}", "sweet basil"),
        (f"/plantings/new/?variety={a_variety('mizuna').pk}", "mizuna"),
    ]


def test_something_new_is_a_number_of_trays(phone_client, basil):
    a_space("S-2", 8, "seedling shelf")
    address = f"{reverse('sow')}?variety={basil.pk}"
    page = phone_client.get(address)
    assert (great_in(page), "Tray number P26-001" in text_of(page)) == (["Sown"], True)
    typed = {"once": key_in(page), "parts": "2", "what": "sown", "seed_lot": "L26-10", "next": "/spaces/"}
    assert phone_client.post(address, typed)["Location"] == "/spaces/"
    said = "Sown P26-001: 2 × half tray sweet basil, 72 plants, in S-2, Mon 4 May 2026"
    assert Entry.objects.get(job="sow").said == said


def test_a_link_may_say_how_many_trays(phone_client, basil):
    a_space("S-2", 8, "seedling shelf")
    page = phone_client.get(reverse("sow"), {"variety": basil.pk, "parts": "2"})
    assert great_in(page) == ["2 × half tray sown → S-2", "Sown"]


def test_it_can_only_be_planned_for_a_day(phone_client, basil):
    a_space("S-2", 8, "seedling shelf")
    address = f"{reverse('sow')}?variety={basil.pk}"
    refused = send(phone_client, address, parts="2", what="plan")
    assert refusals(refused) == ["Choose the day it is to be sown."]
    send(phone_client, address, parts="2", what="plan", day="2026-05-11")
    facts = Planting.objects.values_list("state", "sown_on", "plants", "stays__space__name")
    assert [(state, day.isoformat(), plants, space) for state, day, plants, space in facts] == [
        ("planned", "2026-05-11", 72, "S-2")
    ]


def test_a_plan_is_given_up_from_its_page(phone_client, planned):
    send(phone_client, reverse("sow-planned", args=[planned.code]), what="give up")
    planned.refresh_from_db()
    assert planned.state == "not sown"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"parts": ""}, "Type how much; nothing typed is not taken for 0."),
        ({"parts": "0"}, "Say how many: 1 or more."),
        ({"parts": "2", "seed_lot": "L-9"}, "There is no seed lot L-9."),
        ({"parts": "2", "to_space": "S-9"}, "There is no space S-9."),
        ({"parts": "2", "day": "2026-05-05"}, "Tue 5 May 2026 lies ahead. Note it when it is done."),
        (
            {"parts": "9", "to_space": "S-2"},
            "S-2 has 4 places, 0 taken on Mon 4 May: 4 free, 4.5 needed. 288 plants fit.",
        ),
    ],
)
def test_what_cannot_be_comes_back_as_typed(phone_client, basil, typed, words):
    a_space("S-2", 4, "seedling shelf")
    refused = send(phone_client, f"{reverse('sow')}?variety={basil.pk}", what="sown", **typed)
    assert (refused.status_code, refusals(refused), typed_in(refused, "parts")) == (422, [words], typed["parts"])


@pytest.mark.parametrize("spaces", [3, 300])
def test_the_page_asks_as_often_for_many_spaces(phone_client, basil, planned, django_assert_num_queries, spaces):
    other = a_planting("P-1", spaces, variety=basil)
    for number in range(spaces):
        a_stay(other, a_space(f"S-{number}", 1, "seedling shelf"), 1)
    with django_assert_num_queries(14):
        phone_client.get(reverse("sow-planned", args=[planned.code]))
