"""The pages of varieties and their schedules."""

import pytest
from django.urls import reverse

from farmops.growing.models import Schedule, Variety
from tests.growing.beds import a_kind, a_schedule, a_variety
from tests.pages import chosen_in, refusals, rows_of, said_in, send, text_of, typed_in

pytestmark = pytest.mark.django_db
VARIETY = {"name": "sweet basil", "crop": "basil", "part": "half tray", "part_plants": "36", "part_cost": "1.25"}
SCHEDULE = {
    "kind_1": "seedling shelf", "days_1": "21", "per_place_1": "72", "survive_1": "92",
    "kind_2": "finishing channel", "days_2": "28", "per_place_2": "1", "survive_2": "95",
    "way": "head", "unit": "head", "per_plant": "1",
}  # fmt: skip


def test_a_variety_and_its_schedule_are_added_and_shown(office_client):
    a_kind("seedling shelf"), a_kind("finishing channel")
    added = send(office_client, reverse("new-variety"), **VARIETY)
    assert (added.status_code, added["Location"]) == (303, reverse("varieties"))
    page = office_client.get(reverse("varieties"))
    assert said_in(page).partition(" Undo ")[0] == "sweet basil is grown from now on"
    assert rows_of(page, "li") == ["sweet basil basil · half tray of 36 Its schedule sweet basil"]
    variety = Variety.objects.get()
    address = reverse("new-schedule", args=[variety.pk])
    assert 'name="from_on"' not in office_client.get(address).content.decode()
    done = send(office_client, address, **SCHEDULE)
    assert (done.status_code, done["Location"]) == (303, reverse("variety", args=[variety.pk]))
    shown = text_of(office_client.get(done["Location"]))
    assert shown.startswith("sweet basil basil Sown by the half tray of 36 plants, $1.25")
    assert "seedling shelf 21 72 92 % finishing channel 28 1 95 %" in shown
    assert "whole heads, 1 head a plant; 100 % left after washing; stands good 7 days. Put it right" in shown
    assert rows_of(office_client.get(reverse("varieties")), "li") == [
        "sweet basil basil · half tray of 36 · 49 days, whole heads"
    ]


def test_what_was_typed_of_a_schedule_stands_there_again_after_a_refusal(office_client):
    a_kind("seedling shelf"), a_kind("finishing channel")
    address = reverse("new-schedule", args=[a_variety().pk])
    refused = send(office_client, address, **{**SCHEDULE, "survive_2": "950"})
    assert refused.status_code == 422
    assert refusals(refused) == ["“950” is more than can be: at most 100."]
    assert (typed_in(refused, "days_1"), typed_in(refused, "survive_2")) == ("21", "950")
    assert chosen_in(refused, "kind_2") == "finishing channel"
    assert Schedule.objects.count() == 0


def test_a_schedule_starts_like_another_varietys(office_client):
    a_schedule(a_variety("green butterhead"), ("seedling shelf", 21, 72), ("finishing channel", 28, 1))
    like = Schedule.objects.get()
    red = a_variety("red oakleaf")
    page = office_client.get(reverse("new-schedule", args=[red.pk]), {"like": like.pk})
    assert (chosen_in(page, "kind_2"), typed_in(page, "days_2"), typed_in(page, "survive_1")) == (
        "finishing channel", "28", "100"
    )  # fmt: skip
    assert chosen_in(page, "like") == str(like.pk)


def test_a_new_version_stands_above_the_one_before(office_client):
    variety = a_variety()
    a_schedule(variety, ("seedling shelf", 21, 72), ("finishing channel", 28, 1))
    address = reverse("new-schedule", args=[variety.pk])
    assert typed_in(office_client.get(address), "days_2") == "28"
    send(office_client, address, **{**SCHEDULE, "days_2": "35", "from_on": "2026-05-11"})
    shown = text_of(office_client.get(reverse("variety", args=[variety.pk])))
    assert shown.index("Sown from Mon 11 May 2026 on") < shown.index("From the beginning followed now")


def test_a_version_is_put_right_on_its_page(office_client):
    a_schedule(a_variety(), ("seedling shelf", 21, 72), ("finishing channel", 28, 1))
    schedule = Schedule.objects.get()
    done = send(office_client, reverse("schedule", args=[schedule.pk]), **{**SCHEDULE, "days_2": "30"})
    assert done["Location"] == reverse("variety", args=[schedule.variety_id])
    assert [one.days for one in schedule.stages.order_by("number")] == [21, 30]


def test_a_variety_is_changed_on_its_page(office_client):
    variety = a_variety(part="tray", part_plants=72)
    address = reverse("change-variety", args=[variety.pk])
    assert typed_in(office_client.get(address), "part_plants") == "72"
    send(office_client, address, crop="lettuce", part="tray", part_plants="128")
    variety.refresh_from_db()
    assert variety.part_plants == 128


def test_what_nobody_knows_is_not_found(office_client):
    for name in ("variety", "change-variety", "new-schedule", "schedule"):
        assert office_client.get(reverse(name, args=[999])).status_code == 404


@pytest.mark.parametrize("number", [3, 300])
def test_the_list_asks_as_often_for_many_varieties(office_client, django_assert_num_queries, number):
    for one in range(number):
        a_schedule(a_variety(f"lettuce {one}"), ("finishing channel", 28, 1))
    with django_assert_num_queries(6):
        page = office_client.get(reverse("varieties"))
    assert len(rows_of(page, "li")) == number
