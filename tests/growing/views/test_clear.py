"""The page of clearing."""

import pytest
from django.urls import reverse

from farmops.growing.models import Planting
from tests.growing.beds import TODAY, a_planting, a_space, a_stay
from tests.pages import great_in, key_in, refusals, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting(db):
    planting = a_planting()
    a_stay(planting, a_space("F-7", 120), 70)
    a_stay(planting, a_space("F-8", 120), 50)
    return planting


@pytest.fixture
def address(planting):
    return reverse("clear-planting", args=[planting.code])


def test_one_press_clears_all_of_it(phone_client, planting, address):
    page = phone_client.get(address)
    assert great_in(page) == ["Clear all: 120 plants"]
    assert phone_client.post(address, {"once": key_in(page)})["Location"] == reverse("spaces")
    planting.refresh_from_db()
    assert planting.cleared_on == TODAY


def test_or_only_one_space(phone_client, planting, address):
    send(phone_client, address, stay=str(planting.stays.get(space__name="F-7").pk))
    assert great_in(phone_client.get(address)) == ["Clear all: 50 plants"]
    assert Planting.objects.get().cleared_on is None


def test_another_plantings_stay_is_not_found(phone_client, address):
    other = a_stay(a_planting("P-2"), a_space("F-9", 120))
    assert send(phone_client, address, stay=str(other.pk)).status_code == 404


def test_what_is_cleared_already_is_said(phone_client, address):
    send(phone_client, address)
    refused = send(phone_client, address)
    words = "P-1 was cleared on Mon 4 May 2026. Take that back first if plants still stand."
    assert (refused.status_code, refusals(refused)) == (422, [words])


@pytest.mark.parametrize("stays", [3, 300])
def test_the_page_asks_as_often_for_many_stays(phone_client, django_assert_num_queries, stays):
    planting = a_planting("P-9", stays)
    for number in range(stays):
        a_stay(planting, a_space(f"N-{number}"), 1)
    with django_assert_num_queries(11):
        page = phone_client.get(reverse("clear-planting", args=["P-9"]))
    assert page.content.decode().count('name="stay"') == stays
