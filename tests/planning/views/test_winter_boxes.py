"""The pages of what is in the boxes."""

from datetime import date

import pytest
from django.urls import reverse

from farmops.selling.models import BoxCount
from tests.pages import chosen_in, key_in, refusals, said_in, send, text_of, typed_in
from tests.selling.market import an_item
from tests.selling.orders import a_box, a_count

pytestmark = pytest.mark.django_db
PAGE, SET = reverse("box-contents"), reverse("set-box-contents")


def test_weeks_are_said_on_one_page_and_shown_on_the_other(office_client):
    box, kale, basil = a_box(), an_item("kale"), an_item()
    assert "No box is planned in this year." in text_of(office_client.get(PAGE))
    typed = {f"item-{kale.pk}": "1", f"item-{basil.pk}": "2"}
    page = send(
        office_client, SET, box=box.pk, size="full", first_on="2026-06-03", last_on="2026-07-06", boxes="24", **typed
    )
    assert (page.status_code, page["Location"]) == (303, PAGE)
    shown = office_client.get(PAGE)
    assert said_in(shown).startswith("weekly box full: 24 boxes with 2 items in the weeks of Mon 1 Jun 2026 to")
    assert (
        "weekly box full 23–28 1 Jun 24 boxes kale 1, sweet basil 2 worth $12.00 each Change full week 23"
        in text_of(shown)
    )


def test_the_form_is_filled_in_with_what_the_week_holds(office_client):
    a_count(date(2026, 6, 1), date(2026, 6, 28), boxes=24, size="full", typed="2")
    asked = {"box": a_box().pk, "size": "full", "first_on": "2026-06-08", "last_on": "2026-06-22", "next": "/orders/"}
    shown = office_client.get(SET, asked)
    basil = f"item-{an_item().pk}"
    names = ("size", "first_on", "last_on", "boxes", basil)
    assert [typed_in(shown, name) for name in names] == ["full", "2026-06-08", "2026-06-22", "24", "2"]
    assert chosen_in(shown, "box") == str(a_box().pk)
    page = office_client.post(SET, {**asked, "once": key_in(shown), "boxes": "30", basil: "2"})
    assert page["Location"] == "/orders/"
    assert sorted(BoxCount.objects.live().values_list("first_week", "last_week", "boxes")) == [
        (date(2026, 6, 1), date(2026, 6, 1), 24),
        (date(2026, 6, 8), date(2026, 6, 22), 30),
    ]


def test_a_refusal_keeps_what_was_typed(office_client):
    an_item("sorrel", cents=None)
    sorrel = f"item-{an_item('sorrel', cents=None).pk}"
    typed = {"box": a_box().pk, "size": "half", "first_on": "2026-06-03", "boxes": "24", sorrel: "1"}
    page = send(office_client, SET, **typed)
    assert (page.status_code, refusals(page)) == (422, ["sorrel has no price at weekly box. Give it one first."])
    assert [typed_in(page, name) for name in ("size", "boxes", sorrel)] == ["half", "24", "1"]
    assert BoxCount.objects.count() == 0


@pytest.mark.parametrize("number", [3, 300])
def test_as_many_queries_for_many_as_for_few(office_client, django_assert_num_queries, number):
    count = a_count(date(2026, 6, 1), date(2026, 6, 28))
    facts = {"box": count.box, "boxes": 5, "item": count.item, "amount": 1, "entry": count.entry}
    BoxCount.objects.bulk_create(
        BoxCount(size=f"size {one}", first_week=date(2026, 6, 1), **facts) for one in range(number)
    )
    with django_assert_num_queries(7):
        page = office_client.get(PAGE)
    assert page.content.decode().count("<h2>") == number + 1
