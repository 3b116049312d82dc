"""The list of spaces, one space's page, and plans made and given up there."""

from datetime import date

import pytest
import time_machine
from django.urls import reverse

from farmops.growing.models import Space
from farmops.waiting.models import DoNotCut
from tests.growing.beds import a_kind, a_planting, a_schedule, a_space, a_stay, a_variety
from tests.pages import great_in, key_in, refusals, rows_of, send, text_of

pytestmark = pytest.mark.django_db


def test_all_spaces_stand_in_walking_order_with_what_is_free(phone_client):
    a_kind("nursery channel", walk_order=1), a_kind("finishing channel", walk_order=2)
    for name in ("F-10", "F-2"):
        a_space(name)
    a_space("N-1", 72, "nursery channel")
    planting = a_planting(plants=12)
    a_stay(planting, Space.objects.get(name="F-10"))
    page = phone_client.get(reverse("spaces"))
    assert [row for row in rows_of(page) if not row.startswith("Space")] == [
        "N-1 72 of 72",
        "F-2 18 of 18",
        "F-10 6 of 18 green butterhead",
    ]
    assert "finishing channel 24 of 36 places free" in text_of(page)


def test_over_full_spaces_and_clashes_are_said_in_words(phone_client):
    space = a_space("F-1")
    a_stay(a_planting("P-1", 18, variety=a_variety("sorrel")), space, planned_to_on=date(2026, 5, 18))
    late = a_planting("P-2", 4, variety=a_variety("cress"))
    a_stay(late, space, over_full_because="they go on Wednesday", planned_to_on=date(2026, 5, 7))
    page = phone_client.get(reverse("spaces"))
    clash = (
        "F-1: 4 places too few from Mon 4 May to Wed 6 May: P-1 sorrel, P-2 cress "
        "(over-full because: they go on Wednesday)"
    )
    assert clash in text_of(page)
    assert rows_of(page)[1] == "F-1 4 too few sorrel, cress over-full because: they go on Wednesday clash"
    one = text_of(phone_client.get(reverse("space", args=["F-1"])))
    assert one.startswith(
        "F-1 finishing channel Over-full: 4 too few of 18 places · over-full because: they go on Wednesday " + clash
    )


@pytest.mark.case("G12")
def test_weeks_bear_their_iso_year(phone_client):
    """rails #57890, obsidian-journal #200: 31 December 2026 and 1 January 2027 lie in week 53 of 2026."""
    a_space("F-1")
    with time_machine.travel("2026-12-31 15:00Z", tick=False):
        rows = rows_of(phone_client.get(reverse("space", args=["F-1"])))
    assert rows[1:4] == ["week 53 18 Thu 31 Dec", "week 1 18 Mon 4 Jan", "week 2 18 Mon 11 Jan"]


def test_one_space_shows_who_stands_there_who_is_planned_and_its_weeks(phone_client):
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    space = a_space("F-1")
    a_stay(a_planting("P-1", 12, variety=variety), space, from_on=date(2026, 5, 1))
    held = a_planting("P-0", 2, variety=variety, sown_on=date(2026, 3, 1))
    a_stay(held, space, from_on=date(2026, 4, 1))
    planned = a_planting("P-2", 10, variety=variety)
    a_stay(planned, a_space("N-1", 72, "nursery channel"))
    a_stay(planned, space, 10, from_on=date(2026, 5, 18), state="planned", planned_to_on=date(2026, 6, 15))
    page = phone_client.get(reverse("space", args=["f-1"]))
    assert rows_of(page, "li") == [
        "2 green butterhead P-0 since Wed 1 Apr, 2 places · due to move on since Wed 29 Apr Lose · Clear Move",
        "12 green butterhead P-1 since Fri 1 May, 12 places · until about Fri 29 May Lose · Clear Move",
        "10 green butterhead P-2 from Mon 18 May, 10 places · until about Mon 15 Jun Give up",
    ]
    assert rows_of(page)[1:6] == [
        "week 19 4 Mon 4 May",
        "week 20 6 Mon 11 May",
        "week 21 4 too few Mon 18 May",
        "week 22 4 too few Mon 25 May",
        "week 23 8 Mon 1 Jun",
    ]


def test_an_empty_farm_says_what_to_do(phone_client):
    assert "No space is known yet." in text_of(phone_client.get(reverse("spaces")))


@pytest.mark.parametrize("spaces", [3, 300])
def test_the_list_asks_as_often_for_many_spaces(phone_client, django_assert_num_queries, spaces):
    a_schedule(a_variety(), ("finishing channel", 28, 1))
    planting = a_planting(plants=spaces)
    for number in range(spaces):
        a_stay(planting, a_space(f"F-{number}"), 1)
    with django_assert_num_queries(10):
        page = phone_client.get(reverse("spaces"))
    assert len(rows_of(page)) == spaces + 1


@pytest.mark.parametrize("stays", [3, 300])
def test_a_space_asks_as_often_for_many_stays(phone_client, django_assert_num_queries, stays):
    space = a_space("F-1", 400)
    a_schedule(a_variety(), ("finishing channel", 28, 1))
    for number in range(stays):
        a_stay(a_planting(f"P-{number}", 1), space)
    with django_assert_num_queries(14):
        page = phone_client.get(reverse("space", args=["F-1"]))
    assert len(rows_of(page, "li")) == stays


def test_a_space_says_what_in_it_must_not_be_cut(phone_client):
    planting = a_planting()
    for name in ("F-1", "F-2"):
        a_stay(planting, a_space(name, 60), 60)
    stay = planting.stays.get(space__name="F-1")
    DoNotCut.objects.create(planting=planting, stay=stay, reason="hail", entry=planting.entry)
    said = "Do not cut P-1 green butterhead in F-1 until it is lifted: hail"
    pages = [text_of(phone_client.get(reverse("space", args=[name]))) for name in ("F-1", "F-2")]
    assert [page.count(said) for page in pages] == [1, 0]


def test_a_stay_is_planned_from_a_page_and_its_clash_said(phone_client):
    a_stay(a_planting("P-2", 18, variety=a_variety("sorrel")), a_space("F-1"))
    planting = a_planting(plants=20)
    a_stay(planting, a_space("N-1", 72, "nursery channel"))
    address = reverse("plan-stay", args=["P-1"])
    page = phone_client.get(address)
    assert great_in(page) == ["Plan it"]
    typed = {"once": key_in(page), "plants": "5", "to_space": "F-1", "day": "2026-05-11", "to_day": "2026-05-18"}
    assert phone_client.post(address, typed).status_code == 303
    text = text_of(phone_client.get(reverse("spaces")))
    assert "F-1: 5 places too few from Mon 11 May to Sun 17 May: P-1 green butterhead, P-2 sorrel" in text
    refused = send(phone_client, address, plants="21", to_space="F-1")
    assert refusals(refused) == ["P-1 has 20 plants; plan for 1 to 20."]


def test_a_plan_is_given_up_from_its_page_once(phone_client):
    planting = a_planting(plants=20)
    plan = a_stay(planting, a_space("F-1"), 18, state="planned", from_on=date(2026, 5, 11))
    address = reverse("drop-plan", args=[plan.pk])
    assert "18 of P-1 green butterhead into F-1 on Mon 11 May 2026" in text_of(phone_client.get(address))
    assert send(phone_client, address)["Location"] == "/spaces/F-1/"
    assert refusals(send(phone_client, address)) == ["That is planned no more."]
    plan.refresh_from_db()
    assert plan.is_over is True
