"""The pages of items."""

import pytest
from django.urls import reverse

from farmops.growing.models import Item, ItemPart
from tests.growing.beds import a_variety
from tests.pages import chosen_in, refusals, rows_of, said_in, send, text_of, typed_in

pytestmark = pytest.mark.django_db
TYPED = {
    "name": "salad mix", "unit": "bag", "contains": "150", "contains_unit": "g", "keeps_days": "5",
    "variety_1": "red oakleaf", "share_1": "60", "variety_2": "arugula", "share_2": "40",
}  # fmt: skip


@pytest.fixture
def leaves(db):
    a_variety("red oakleaf"), a_variety("arugula")


def test_an_item_is_added_and_shown(office_client, leaves):
    added = send(office_client, reverse("new-item"), **TYPED)
    assert (added.status_code, added["Location"]) == (303, reverse("items"))
    page = office_client.get(reverse("items"))
    assert said_in(page).partition(" Undo ")[0] == "salad mix is sold by the bag: red oakleaf 60 %, arugula 40 %"
    assert rows_of(page, "li") == [
        "salad mix bag of 150 g red oakleaf 60 %, arugula 40 % · keeps 5 days Price salad mix"
    ]


def test_what_was_typed_stands_there_again_after_a_refusal(office_client, leaves):
    refused = send(office_client, reverse("new-item"), **{**TYPED, "share_2": "30"})
    assert refused.status_code == 422
    assert refusals(refused) == [
        "The shares add up to 90, not to 100. In the same proportion they would be 66.7, 33.3."
    ]
    assert (typed_in(refused, "share_2"), chosen_in(refused, "variety_2"), typed_in(refused, "contains")) == (
        "30", "arugula", "150"
    )  # fmt: skip


def test_an_item_is_changed_and_keeps_its_unit(office_client, leaves):
    send(office_client, reverse("new-item"), **TYPED)
    item = Item.objects.get()
    page = office_client.get(reverse("item", args=[item.pk]))
    assert text_of(page).startswith("salad mix, by the bag")
    assert (typed_in(page, "share_1"), chosen_in(page, "variety_2")) == ("60", "arugula")
    assert 'name="unit"' not in page.content.decode()
    changed = {"share_1": "50", "share_2": "50", "variety_1": "arugula", "variety_2": "red oakleaf"}
    send(office_client, reverse("item", args=[item.pk]), **{**TYPED, **changed})
    assert set(ItemPart.objects.values_list("variety__name", "share_percent")) == {("arugula", 50), ("red oakleaf", 50)}


def test_an_item_nobody_knows_is_not_found(office_client):
    assert office_client.get(reverse("item", args=[999])).status_code == 404


@pytest.mark.parametrize("number", [3, 300])
def test_the_list_asks_as_often_for_many_items(office_client, django_assert_num_queries, number):
    for one in range(number):
        item = Item.objects.create(name=f"item {one}", unit="head", keeps_days=5)
        ItemPart.objects.create(item=item, variety=a_variety(), share_percent=100)
    with django_assert_num_queries(6):
        page = office_client.get(reverse("items"))
    assert len(rows_of(page, "li")) == number
