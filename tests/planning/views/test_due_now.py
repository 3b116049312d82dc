"""The first screen."""

from datetime import date

import pytest
from django.urls import reverse

from farmops.farm.models import Farm
from farmops.growing.models import Planting
from farmops.planning.standing_now import forget
from tests.journal.entries import an_entry
from tests.pages import links_of, text_of
from tests.planning.small_farm import TODAY, a_place, a_planting, a_variety, moved
from tests.planning.test_due_now import a_day, a_pick, a_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting():
    a_place()
    return a_planting(a_variety())


def test_every_line_leads_to_its_job_with_all_that_is_known(phone_client, planting):
    shelf = planting.stays.get()
    stay = moved(shelf, "N-1", 36, date(2026, 3, 30))
    a_sheet(1, (stay, 24))
    a_planting(planting.variety, "P26-005", sown=TODAY)
    Planting.objects.filter(code="P26-005").update(state="planned")
    day = a_day(TODAY)
    page = phone_client.get(reverse("due-now"))
    assert links_of(page, "job") == [
        (
            f"/plantings/P26-001/pick/?amount=24&unit=head&stay={stay.pk}&list=2026-05-04&next=/",
            "N-1 green butterhead P26-001 · Quay 24 heads",
        ),
        (
            f"/stays/{planting.stays.first().pk}/move/?next=/",
            "S-1 green butterhead P26-001 · to channel, due Mon 30 Mar 36",
        ),
        ("/plantings/P26-005/sow/?next=/", "P26-005 green butterhead today 72"),
        ("/plantings/P26-001/walk/?next=/", "S-1, N-1 green butterhead P26-001 · ready"),
        (f"/markets/{day.pk}/?next=/", "08:00 Load for Quay Mon 4 May"),
        (f"/markets/{day.pk}/evening/?next=/", "13:00 What came back? Quay, Mon 4 May"),
    ]


def test_what_was_done_can_be_taken_back_from_here(phone_client, planting):
    stay = moved(planting.stays.get(), "N-1", 72, date(2026, 3, 30))
    a_sheet(1, (stay, 24))
    pick = a_pick(stay, 24)
    page = phone_client.get(reverse("due-now"))
    assert (f"/entries/{pick.entry_id}/undo/?next=/") in [address for address, _words in links_of(page, "button quiet")]
    assert "✓ done" in text_of(page)


def test_a_farm_that_is_not_there_yet_begins_with_its_notebook(client, db):
    assert "Read my market notebook" in text_of(client.get("/"))


def test_nobody_sees_what_is_due_without_being_known(client, planting):
    response = client.get("/")
    assert (response.status_code, response["Location"]) == (302, reverse("start"))
    assert Farm.objects.count() == 1


@pytest.mark.parametrize("more", [3, 300])
def test_as_many_queries_for_many_as_for_few(phone_client, planting, django_assert_num_queries, more):
    stays = []
    for number in range(more):
        other = a_planting(planting.variety, f"P26-1{number:03d}", plants=2)
        stays.append(moved(other.stays.get(), "N-1", 1, date(2026, 3, 30)))
    a_sheet(1, *((stay, 1) for stay in stays))
    a_day(TODAY)
    phone_client.get(reverse("due-now"))
    with django_assert_num_queries(6):
        phone_client.get(reverse("due-now"))
    an_entry("something new")
    with django_assert_num_queries(15):
        phone_client.get(reverse("due-now"))
    forget()  # as on the first opening of a day, when the farm's pace is learned besides
    with django_assert_num_queries(15):
        phone_client.get(reverse("due-now"))
