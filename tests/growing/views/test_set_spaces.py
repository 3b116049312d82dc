"""The pages that set up spaces."""

import pytest
from django.urls import reverse

from farmops.growing.models import Space, SpaceSpell
from tests.growing.beds import a_planting, a_space, a_stay
from tests.pages import refusals, rows_of, said_in, send, text_of, typed_in, yes_in

pytestmark = pytest.mark.django_db
TYPED = {"kind": "finishing channel", "names": "F-01 to F-20", "places": "18", "from_on": ""}


def test_twenty_channels_are_added_at_once_and_shown(office_client):
    answer = send(office_client, reverse("new-spaces"), **TYPED)
    assert (answer.status_code, answer["Location"]) == (303, reverse("spaces"))
    page = office_client.get(reverse("spaces"))
    assert said_in(page).partition(" Undo ")[0] == "finishing channel 20: F-01 to F-20 added, 18 places each"
    assert "finishing channel 360 of 360 places free" in text_of(page)
    assert [row.split()[0] for row in rows_of(page)[1:]] == [f"F-{number:02d}" for number in range(1, 21)]
    assert '<option value="finishing channel">' in office_client.get(reverse("new-spaces")).content.decode()


def test_what_was_typed_stands_there_again_after_a_refusal(office_client):
    refused = send(office_client, reverse("new-spaces"), **{**TYPED, "places": "many"})
    assert refused.status_code == 422
    assert refusals(refused) == ["“many” cannot be read as an amount. Type it like 12.5, ½ or 2 lb 6 oz."]
    assert (typed_in(refused, "names"), typed_in(refused, "places")) == ("F-01 to F-20", "many")
    assert Space.objects.count() == 0


def test_other_places_and_out_of_use_stand_on_the_page_of_the_space(office_client):
    space = a_space("F-1")
    a_stay(a_planting(plants=12), space)
    asked = send(office_client, reverse("space-places", args=["F-1"]), places="10", from_on="2026-05-11")
    assert yes_in(asked) == ["too-few"]
    done = send(office_client, reverse("space-places", args=["F-1"]), places="20", from_on="2026-05-11")
    assert done["Location"] == reverse("space", args=["F-1"])
    page = office_client.get(done["Location"])
    assert "Its places 18 places; 20 places from Mon 11 May 2026 on Other" in text_of(page)
    send(office_client, reverse("close-space", args=["F-1"]), from_on="2026-06-01", yes="too-few")
    assert "; out of use from Mon 1 Jun 2026 on" in text_of(office_client.get(reverse("space", args=["F-1"])))
    assert SpaceSpell.objects.count() == 2


def test_a_space_out_of_use_is_found_at_the_end_of_the_list(office_client):
    a_space("F-1"), a_space("F-2")
    send(office_client, reverse("close-space", args=["F-2"]), from_on="2026-05-04")
    assert text_of(office_client.get(reverse("spaces"))).endswith("Not in use F-2")


def test_a_space_nobody_knows_is_not_found(office_client):
    for name in ("space-places", "close-space"):
        assert office_client.get(reverse(name, args=["F-9"])).status_code == 404
