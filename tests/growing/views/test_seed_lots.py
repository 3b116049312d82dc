"""The pages of seed lots."""

import pytest
from django.urls import reverse

from farmops.growing.models import SeedLot
from tests.growing.beds import a_variety
from tests.pages import refusals, rows_of, said_in, send, text_of, typed_in

pytestmark = pytest.mark.django_db
TYPED = {"name": "S26-07", "supplier": "Hill Seeds", "their_lot": "77-B", "received_on": "2026-02-01", "seeds": "5000"}


def test_seed_that_came_is_added_and_counted_anew(office_client):
    variety = a_variety()
    added = send(office_client, reverse("new-seed-lot"), variety=variety.pk, **TYPED)
    assert (added.status_code, added["Location"]) == (303, reverse("seed-lots"))
    page = office_client.get(reverse("seed-lots"))
    assert said_in(page).partition(" Undo ")[0] == "Seed lot S26-07 of green butterhead"
    assert rows_of(page, "li") == ["S26-07 green butterhead Hill Seeds 77-B · came Sun 1 Feb 2026 · 5,000 seeds"]
    address = reverse("seed-lot", args=[SeedLot.objects.get().pk])
    form = office_client.get(address)
    assert text_of(form).startswith("Seed lot S26-07, green butterhead")
    assert (typed_in(form, "seeds"), typed_in(form, "received_on")) == ("5000", "2026-02-01")
    send(office_client, address, **{**TYPED, "seeds": "4000", "germination": "88"})
    assert "4,000 seeds · 88 % came up" in text_of(office_client.get(reverse("seed-lots")))


def test_what_was_typed_stands_there_again_after_a_refusal(office_client):
    refused = send(office_client, reverse("new-seed-lot"), variety="", **TYPED)
    assert (refused.status_code, refusals(refused)) == (422, ["Choose the variety."])
    assert typed_in(refused, "their_lot") == "77-B"
    assert office_client.get(reverse("seed-lot", args=[999])).status_code == 404


@pytest.mark.parametrize("number", [3, 300])
def test_the_list_asks_as_often_for_many_lots(office_client, django_assert_num_queries, number):
    for one in range(number):
        SeedLot.objects.create(name=f"S-{one}", variety=a_variety())
    with django_assert_num_queries(5):
        page = office_client.get(reverse("seed-lots"))
    assert len(rows_of(page, "li")) == number
