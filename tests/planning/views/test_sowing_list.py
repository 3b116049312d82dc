"""The sowing list on the phone: nothing is worked out by looking, one press starts a line, one's own word stays."""

from datetime import date

import pytest
from django.urls import reverse

from farmops.growing.models import Planting, Variety
from farmops.journal.undo import undo
from farmops.planning.models import SowingChoice, StoredAnswer
from farmops.planning.sowing_list_choice import choose_sowing
from farmops.planning.stored_answers import newest_entry
from farmops.selling.models import Price
from tests.growing.beds import saying
from tests.pages import key_in, links_of, refusals, send, text_of, typed_in
from tests.planning.sown_farm import MONDAY, NOW, TODAY, a_sown_farm, worked_out

pytestmark = pytest.mark.django_db
LIST = "/sowing-list/"


@pytest.fixture
def variety():
    return a_sown_farm()[0]


def line_address(variety):
    return reverse("sowing-line", args=[variety.pk, MONDAY])


def start(client, variety, parts=1, key="start"):
    typed = {"once": key, "variety": variety.pk, "day": TODAY, "parts": parts}
    return client.post(reverse("start-sowing"), typed)


def test_looking_works_nothing_out(phone_client, variety):
    page = phone_client.get(LIST)
    assert text_of(page).startswith("What to sow It has not been worked out yet.")
    assert (phone_client.get(reverse("last-sowing")).status_code, StoredAnswer.objects.count()) == (200, 0)
    assert phone_client.get(reverse("sowing-list-pdf"))["Location"] == LIST


def test_one_press_works_it_out_in_a_process_of_its_own(phone_client, variety):
    answer = phone_client.post(reverse("work-out-sowings"))
    assert (answer.status_code, answer["Location"]) == (303, LIST)
    words = text_of(phone_client.get(LIST))
    assert words.startswith(
        "Sow in week 19 Week of Mon 4 May 2026. This is the best plan there is. "
        "Worked out on Mon 4 May 2026, 09:00. Nothing was written down since. Work it out again"
    )
    assert (
        "green butterhead 70 plants in 72 cells · butterhead lettuce · for week 27 to week 28 1 × tray start "
        "59.2 heads wanted in week 27 to week 28 for Quay; nothing else is there for them. "
        "Sat 4 Jul, Quay: butterhead lettuce 38 heads Sat 11 Jul, Quay: butterhead lettuce 21.2 heads "
        # 59.2 ÷ .855 that live is 69.2: 70 plants
        "Wanted in these weeks 59.2 heads Coming from what stands or is sown besides 0 heads Short 59.2 heads "
        "÷ 1 a plant ÷ 86% that live = plants 70 in whole parts (tray) 1"
    ) in words


def test_what_the_plan_lacks_is_named_and_the_old_list_stays(phone_client, variety):
    worked_out()
    Price.objects.all().delete()
    answer = phone_client.post(reverse("work-out-sowings"))
    assert answer.status_code == 422
    assert refusals(answer) == [
        "prices, price: butterhead lettuce has no price at Quay on 2026-05-09. Add a row for it."
    ]
    assert "59.2 heads wanted" in text_of(answer)


def test_one_press_starts_a_line_and_leads_on_to_sowing_it(phone_client, variety):
    worked_out()
    first, again = start(phone_client, variety), start(phone_client, variety)
    planting = Planting.objects.get()
    assert (planting.state, planting.plants, planting.sown_on) == ("planned", 72, TODAY)
    to_sow = f"/plantings/{planting.code}/sow/?next=/sowing-list/"
    assert (first["Location"], again["Location"]) == (to_sow, to_sow)
    page = phone_client.get(LIST)
    assert [link for link in links_of(page, "inline-link") if "/sow/" in link[0]] == [
        (to_sow, f"{planting.code}: 1 × tray, to be sown")
    ]
    assert 'class="start"' not in page.content.decode()
    Planting.objects.update(state="done")
    assert f"✓ {planting.code}: 1 × tray sown Mon 4 May" in text_of(phone_client.get(LIST))


def test_part_of_a_line_leaves_the_rest_to_be_started(phone_client, variety):
    worked_out()
    choose_sowing(saying=saying("three"), variety=variety, week=MONDAY, parts=3, proposed=1.0)
    start(phone_client, variety, parts=2)
    page = phone_client.get(LIST)
    assert typed_in(page, "parts") == "1"


@pytest.mark.parametrize("wrong", [{"parts": "0"}, {"parts": "two"}, {"day": "soon"}, {"variety": ""}])
def test_a_start_that_was_tampered_with_is_refused(phone_client, variety, wrong):
    worked_out()
    typed = {"once": "start", "variety": variety.pk, "day": TODAY, "parts": 1, **wrong}
    assert phone_client.post(reverse("start-sowing"), typed).status_code == 422
    assert Planting.objects.count() == 0


def test_another_number_stands_beside_the_proposal_and_can_be_taken_back(phone_client, variety):
    worked_out()
    answer = send(phone_client, line_address(variety), parts="2", reason="half the seed is old")
    assert answer["Location"] == LIST
    choice = SowingChoice.objects.get()
    assert (choice.parts, choice.entry.said) == (
        2,
        "Chosen: 2 × tray green butterhead, week of Mon 4 May 2026 (half the seed is old)",
    )
    page = phone_client.get(LIST)
    assert "Yours: 2 × tray (half the seed is old) · proposed: 1 × tray 2 × tray start" in text_of(page)
    back = links_of(phone_client.get(line_address(variety)), "button quiet")
    assert back == [(f"/entries/{choice.entry_id}/undo/?next=/sowing-list/", "Take that back")]
    undo(saying("undo", corrects=choice.entry))
    assert "Yours" not in text_of(phone_client.get(LIST))


def test_not_now_needs_no_number(phone_client, variety):
    worked_out()
    assert send(phone_client, line_address(variety), do="not now", parts="x")["Location"] == LIST
    assert "Yours: not now · proposed: 1 × tray not now" in text_of(phone_client.get(LIST))
    worked_out()
    assert "Yours: not now · proposed: 1 × tray not now" in text_of(phone_client.get(LIST))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "Say how many."),
        ("two", "Type a whole number, such as 2."),
        ("0", "Say how many: 1 or more. For none, press “Not now”."),
        ("501", "Say how many: at most 500."),
    ],
)
def test_what_cannot_be_read_stays_as_it_was_typed(phone_client, variety, typed, said):
    worked_out()
    page = send(phone_client, line_address(variety), parts=typed, reason="why not")
    assert (page.status_code, refusals(page), typed_in(page, "parts"), typed_in(page, "reason")) == (
        422,
        [said],
        typed,
        "why not",
    )
    assert key_in(page)
    assert SowingChoice.objects.count() == 0


@pytest.mark.parametrize("monday", ["2026-05-05", "soon", "2026-02-30"])
def test_a_line_is_named_by_its_monday(phone_client, variety, monday):
    assert phone_client.get(f"/sowing-list/{variety.pk}/{monday}/").status_code == 404


def test_money_is_shown_to_the_password_alone(phone_client, office_client, variety):
    worked_out()
    pages = [text_of(client.get(LIST)) for client in (phone_client, office_client)]
    assert ["$" in page for page in pages] == [False, True]


def test_last_days_are_shown_and_dated(phone_client, variety):
    worked_out()
    words = text_of(phone_client.get(reverse("last-sowing")))
    assert "No end of selling is in sight for a year. The dark weeks begin on Tue 10 Nov 2026." in words
    assert "green butterhead Mon 14 Sep 2026 week 38 Sat 29 Aug 2026" in words


@pytest.mark.parametrize("lines", [3, 300])
def test_as_many_queries_for_many_lines_as_for_few(phone_client, django_assert_num_queries, variety, lines):
    kept = worked_out()
    (line,) = kept.answer["now"]
    names = [f"variety {number}" for number in range(lines)]
    Variety.objects.bulk_create(Variety(name=name, crop="lettuce") for name in names)
    now = [{**line, "variety": name} for name in names]
    StoredAnswer.objects.update(answer={**kept.answer, "now": now}, last_entry=newest_entry())
    for name in names[:2]:
        choose_sowing(saying=saying(name), variety=Variety.objects.get(name=name), week=MONDAY, parts=1)
    phone_client.get(LIST)
    with django_assert_num_queries(8):
        page = phone_client.get(LIST)
    assert page.content.decode().count('class="start"') == lines
    address = reverse("sowing-line", args=[Variety.objects.get(name=names[0]).pk, MONDAY.isoformat()])
    with django_assert_num_queries(7):
        assert "proposed: 0 × tray You chose: 1 × tray" in text_of(phone_client.get(address))
    with django_assert_num_queries(5):
        phone_client.get(reverse("last-sowing"))


def test_a_week_gone_by_is_said_to_be_over(phone_client, variety):
    worked_out(date(2026, 4, 27), NOW.replace(month=4, day=27))
    assert "That week is over: work it out again." in text_of(phone_client.get(LIST))
