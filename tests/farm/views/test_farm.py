"""The page of the farm itself."""

import pytest
from django.urls import reverse

from farmops.farm.models import Farm
from tests.pages import chosen_in, refusals, said_in, send, text_of, typed_in, yes_in

pytestmark = pytest.mark.django_db
TYPED = {
    "name": "Two Brooks",
    "latitude": "42.3 N",
    "time_zone": "America/New_York",
    "units": "kg",
    "currency": "USD",
    "paper": "a4",
    "harvest_days": ["tue", "fri"],
}


def test_an_empty_farm_begins_by_hand(office_client):
    assert "Begin by hand" in text_of(office_client.get("/"))
    page = office_client.get(reverse("setting-up"))
    assert "The farm its name, where it lies, its days Begin" in text_of(page)
    answer = send(office_client, reverse("farm"), **TYPED)
    assert (answer.status_code, answer["Location"]) == (303, reverse("setting-up"))
    after = office_client.get(reverse("setting-up"))
    assert said_in(after).partition(" Undo ")[0] == "Two Brooks, 42.3 N: the farm begins here"
    assert "The farm Two Brooks, 42.3 N its name, where it lies, its days Change" in text_of(after)
    assert Farm.objects.get().harvest_days == "tue;fri"


def test_what_was_typed_stands_there_again_after_a_refusal_and_a_question(office_client):
    refused = send(office_client, reverse("farm"), **{**TYPED, "latitude": "Boston"})
    assert refused.status_code == 422
    assert refusals(refused) == ["“Boston” is no latitude. Write degrees and N or S, e.g. 42.3 N, as a map shows them."]
    assert (typed_in(refused, "latitude"), chosen_in(refused, "units")) == ("Boston", "kg")
    assert refused.content.decode().count(" checked") == 2
    send(office_client, reverse("farm"), **TYPED)
    asked = send(office_client, reverse("farm"), **{**TYPED, "currency": "CAD"})
    assert yes_in(asked) == ["currency"]
    send(office_client, reverse("farm"), **{**TYPED, "currency": "CAD"}, yes="currency")
    assert Farm.objects.get().currency == "CAD"


def test_what_a_farm_cannot_do_without_is_named(office_client):
    refused = send(office_client, reverse("farm"), **{**TYPED, "name": ""})
    assert refusals(refused) == ["Fill in: Name of the farm."]


def test_the_page_shows_what_is_known(office_client):
    send(office_client, reverse("farm"), **TYPED)
    page = office_client.get(reverse("farm"))
    assert (typed_in(page, "latitude"), typed_in(page, "time_zone")) == ("42.3 N", "America/New_York")
