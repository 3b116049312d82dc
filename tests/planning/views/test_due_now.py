"""The first screen."""

from datetime import date
from html import unescape

import pytest
from django.urls import reverse

from farmops.farm.models import Farm
from farmops.growing.models import Planting
from farmops.harvest.models import PickLine
from farmops.journal.models import Entry
from farmops.planning.standing_now import forget
from tests.journal.entries import an_entry
from tests.pages import links_of, said_in, send, text_of, typed_in
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
            f"/plantings/P26-001/pick/?amount=24&unit=head&stay={stay.pk}&list=2026-05-04&next=/%23line-{PickLine.objects.get().pk}",
            "N-1 green butterhead P26-001 · Quay 24 heads",
        ),
        (
            f"/stays/{planting.stays.first().pk}/move/?next=/%23sow-P26-005",
            "S-1 green butterhead P26-001 · to channel, due Mon 30 Mar 36",
        ),
        ("/plantings/P26-005/sow/?next=/%23walk-P26-001", "P26-005 green butterhead today 72"),
        ("/plantings/P26-001/walk/?next=/%23due-markets", "S-1, N-1 green butterhead P26-001 · ready"),
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


def test_after_a_save_one_is_back_at_the_line_and_what_was_done_is_told_once_with_its_undo(phone_client, planting):
    stay = moved(planting.stays.get(), "N-1", 36, date(2026, 3, 30))
    a_sheet(1, (stay, 24))
    line = PickLine.objects.get()
    address = unescape(links_of(phone_client.get(reverse("due-now")), "job")[0][0])
    back = typed_in(phone_client.get(address), "next")
    assert back == f"/#line-{line.pk}"
    typed = {"count": "24", "count_unit": "head", "stay": stay.pk, "next": back}
    done = send(phone_client, address, **typed)
    assert (done.status_code, done["Location"]) == (303, back)
    page = phone_client.get("/")
    entry = Entry.objects.latest("pk")
    assert page.content.decode().count(f'<span class="unseen"> {entry.said}</span>') == 1  # read out, not shown
    assert text_of(page).count(entry.said) == 0
    assert said_in(page) == entry.said
    undo = f"/entries/{entry.pk}/undo/?next="
    back = [address for address, words in links_of(page, "button quiet") if words.startswith("Take back")]
    assert back == [f"{undo}/"]
    assert f'id="line-{line.pk}"' in page.content.decode()
    again = phone_client.get("/")  # the message is gone, the way back stays
    assert (said_in(again), text_of(again).count(f"{entry.said} Take back")) == ("", 1)
    undone = phone_client.post(f"{undo}/", {"once": "an undo", "next": "/"}, follow=True)
    assert said_in(undone) == f"Taken back: {entry.said}"
    assert undone.redirect_chain == [("/", 303)]


def test_on_a_day_without_harvest_no_list_is_offered_for_it(phone_client, planting):
    Farm.objects.update(harvest_days="mon;fri")
    assert "No pick list was made for today. Make the list" in text_of(phone_client.get("/"))
    Farm.objects.update(harvest_days="tue;fri")
    page = phone_client.get("/")
    assert "Today is no harvest day. Pick list for Tue 5 May" in text_of(page)
    assert ("/pick-list/?day=2026-05-05", "Pick list for Tue 5 May") in links_of(page, "inline-link")


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
