"""What if: asked on a page, answered beside today's plan, and nothing is changed by it."""

import pytest
from django.urls import reverse

from farmops.growing.models import SpaceSpell
from farmops.journal.models import Entry
from farmops.planning.altered_rows import OutOfUse, PriceChanged
from farmops.planning.models import StoredAnswer
from farmops.planning.what_if import MOST_KEPT, what_if_answer, work_out_what_if
from tests.pages import refusals, text_of
from tests.planning.sown_farm import NOW, TODAY, a_sown_farm, quick, the_quay, worked_out

pytestmark = pytest.mark.django_db
PRESS = "what-if-worked-out"


@pytest.fixture(autouse=True)
def farm():
    a_sown_farm()
    SpaceSpell.objects.update(places=720)


def test_a_dearer_head_earns_more_and_the_sides_differ_by_what_is_said():
    answer = what_if_answer(PriceChanged("butterhead lettuce", 20, TODAY), TODAY, quick)
    now, then = answer["now"]["profit"], answer["then"]["profit"]
    assert (now > 0, then > now, answer["weeks"]) == (True, True, 26)


def test_without_its_channel_the_farm_earns_nothing_of_it():
    SpaceSpell.objects.exclude(space__name__in=["N-3", "S-1"]).update(places=1)
    answer = what_if_answer(OutOfUse("N-3", TODAY, None), TODAY, quick)
    assert (answer["now"]["sales"] > 1000, answer["then"]["sales"] < 100) == (True, True)
    assert {(one["variety"], one["then"]) for one in answer["lines"]} == {("green butterhead", 0.0)}


def test_asked_and_answered_on_one_page_and_nothing_written_down(office_client):
    worked_out()
    entries = Entry.objects.count()
    asked = {"kind": "market", "outlet": the_quay().pk, "weekday": 2, "first": "2026-05-11", "last": ""}
    there = office_client.post(reverse(PRESS), asked)
    assert (there.status_code, Entry.objects.count()) == (303, entries)
    words = text_of(office_client.get(there["Location"]))
    assert words.startswith("← What to sow What if Quay also on Wednesday, from Mon 11 May 2026 It would earn about $")
    assert "Nothing was changed by asking: orders, boxes, spaces and prices are as they were." in words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"kind": "price", "item": "", "percent": "20", "first": "2026-05-11"}, "Price of: This field is required."),
        (
            {"kind": "space", "space": "N-3", "first": "2026-05-11", "last": "2026-05-10"},
            "Until: It ends before it begins.",
        ),
        (
            {"kind": "market", "outlet": "QUAY", "weekday": "5", "first": "2026-05-11"},
            "also on: It is held on that day already.",
        ),
    ],
)
def test_what_was_typed_stays_when_it_is_refused(office_client, typed, said):
    if typed.get("outlet") == "QUAY":
        typed = {**typed, "outlet": the_quay().pk}
    page = office_client.post(reverse(PRESS), typed)
    assert (page.status_code, refusals(page)) == (422, [said])
    assert 'value="2026-05-11"' in page.content.decode()


def test_the_newest_answers_are_kept():
    for percent in range(MOST_KEPT + 2):
        work_out_what_if(PriceChanged("butterhead lettuce", percent, TODAY), TODAY, NOW, solver=quick)
    assert StoredAnswer.objects.filter(kind="what if").count() == MOST_KEPT


@pytest.mark.parametrize("address", ["?kind=nonsense", "?kind=price&item=9&percent=x&first=y"])
def test_nonsense_in_the_address(office_client, address):
    assert office_client.get(reverse("what-if") + address).status_code in (404, 422)
