"""The page of shade and lamps over a kind of space."""

import pytest
from django.urls import reverse

from farmops.growing.models import SpaceKind
from tests.growing.beds import a_kind, a_space
from tests.pages import key_in, text_of

pytestmark = pytest.mark.django_db


def test_it_is_set_on_a_page_and_shown_with_the_spaces(office_client):
    a_space("N-1", 72, "nursery channel")
    kind = a_kind("nursery channel")
    page = office_client.get(reverse("kind-light", args=[kind.pk]))
    typed = {"once": key_in(page), "shade": "", "lamp_hours": "11-01=6;02-15=0", "lamp_light": "80"}
    answer = office_client.post(reverse("kind-light", args=[kind.pk]), typed)
    assert (answer.status_code, answer["Location"]) == (303, reverse("spaces"))
    assert SpaceKind.objects.get().lamp_hours_by_date == "02-15=0;11-01=6"
    words = "nursery channel, lamps of 80 µmol/m²s, hours a day: 02-15=0;11-01=6"
    assert words in text_of(office_client.get(reverse("spaces")))
    assert 'value="02-15=0;11-01=6"' in office_client.get(reverse("kind-light", args=[kind.pk])).content.decode()


def test_what_was_typed_stands_there_again_after_a_refusal(office_client):
    kind = a_kind("nursery channel")
    page = office_client.get(reverse("kind-light", args=[kind.pk]))
    typed = {"once": key_in(page), "shade": "much", "lamp_hours": "", "lamp_light": ""}
    answer = office_client.post(reverse("kind-light", args=[kind.pk]), typed)
    assert answer.status_code == 422
    assert "“much” is not a date and its number." in text_of(answer)
    assert 'value="much"' in answer.content.decode()


def test_a_kind_nobody_knows_is_not_found(office_client):
    assert office_client.get(reverse("kind-light", args=[999])).status_code == 404
