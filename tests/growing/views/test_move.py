"""The page of a move, as a phone uses it."""

import re
from html import unescape

import pytest
from django.urls import reverse

from farmops.growing.balance import balance_of
from farmops.growing.models import Stay
from farmops.journal.models import Entry
from tests.growing.beds import TODAY, a_planting, a_schedule, a_space, a_stay, a_variety
from tests.pages import great_in, key_in, links_of, refusals, text_of, typed_in, yes_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def nursery():
    variety = a_variety()
    a_schedule(variety, ("nursery channel", 14, 1), ("finishing channel", 28, 1))
    return a_stay(a_planting(variety=variety), a_space("N-1", 240, "nursery channel"))


@pytest.fixture
def address(nursery):
    return reverse("move-plants", args=[nursery.pk])


def here(planting):
    return [(one.stay.space.name, one.plants) for one in balance_of(planting).here]


def hidden_in(response, name):
    return re.search(rf'name="{name}" value="([^"]*)"', response.content.decode())[1]


def test_one_press_moves_what_there_is_room_for(phone_client, nursery, address):
    a_space("F-1", 120)
    page = phone_client.get(address, {"next": "/spaces/"})
    assert great_in(page)[0] == "120 → F-1"
    sent = {"once": key_in(page), "into": hidden_in(page, "into"), "next": "/spaces/"}
    done = phone_client.post(address, sent)
    assert (done.status_code, done["Location"], here(nursery.planting)) == (303, "/spaces/", [("F-1", 120)])
    again = phone_client.post(address, sent)
    assert (again.status_code, Entry.objects.filter(job="move").count()) == (303, 1)
    assert Entry.objects.get(job="move").by.name == "Ines"


def test_small_channels_are_filled_together_and_the_rest_waits(phone_client, nursery, address):
    for number in (10, 2, 1):
        a_space(f"F-{number}")
    page = phone_client.get(address)
    assert great_in(page)[0] == "54 → F-1 18, F-2 18, F-10 18"
    assert "66 wait in N-1. Next stage: finishing channel." in text_of(page)
    phone_client.post(address, {"once": key_in(page), "into": hidden_in(page, "into")})
    assert here(nursery.planting) == [("N-1", 66), ("F-1", 18), ("F-2", 18), ("F-10", 18)]


def test_a_link_may_say_how_many_and_where(phone_client, address):
    a_space("F-1", 120), a_space("F-2", 120)
    assert great_in(phone_client.get(address, {"plants": "60", "to": "f-2"}))[0] == "60 → F-2"


def test_it_says_how_long_they_are_held_and_from_when_there_is_room(phone_client, nursery, address):
    channel = a_space("F-1", 120)
    a_stay(a_planting("P-2", variety=a_variety("sorrel")), channel, planned_to_on=TODAY.replace(day=25))
    page = phone_client.get(address)
    text = text_of(page)
    assert "P-1 · 120 plants in N-1 · due since Mon 27 Apr" in text
    assert "No room for them in any finishing channel today." in text
    assert "Room for all 120 from Mon 25 May, if all goes as planned." in text


def test_a_number_and_a_space_chosen_move_that_many(phone_client, nursery, address):
    a_space("F-1", 120), a_space("F-2", 120)
    page = phone_client.get(address)
    typed = {"once": key_in(page), "plants": "30", "to_space": "F-2", "day": "2026-05-03"}
    assert phone_client.post(address, typed)["Location"] == reverse("space", args=["N-1"])
    assert here(nursery.planting) == [("N-1", 90), ("F-2", 30)]
    assert Entry.objects.get(job="move").farm_day.isoformat() == "2026-05-03"


def test_what_does_not_fit_comes_back_as_typed_with_what_fits_at_one_press(phone_client, nursery, address):
    a_stay(a_planting("P-0", 12), a_space("F-1"))
    page = phone_client.get(address)
    refused = phone_client.post(address, {"once": key_in(page), "plants": "18", "to_space": "F-1"})
    assert refused.status_code == 422
    words = "F-1 has 18 places, 12 taken on Mon 4 May: 6 free, 18 needed. 6 plants fit."
    assert refusals(refused) == [words]
    assert (typed_in(refused, "plants"), great_in(refused)[0]) == ("18", "6 → F-1")
    over = {"once": key_in(refused), "plants": "18", "to_space": "F-1", "over_full_because": "until Wednesday"}
    assert phone_client.post(address, over).status_code == 303
    assert Stay.objects.get(over_full_because="until Wednesday").plants == 18


def test_somebody_was_quicker(phone_client, nursery, address):
    a_space("F-1", 120)
    page = phone_client.get(address)
    sent = {"once": key_in(page), "into": hidden_in(page, "into")}
    other = phone_client.get(address)
    phone_client.post(address, {"once": key_in(other), "plants": "100", "to_space": "F-1"})
    refused = phone_client.post(address, sent)
    assert refusals(refused) == ["20 plants are left in N-1, not 120."]
    assert great_in(refused)[0] == "20 → F-1"


def test_another_kind_of_space_is_asked_about_and_yes_sends_the_same(phone_client, nursery, address):
    a_space("Bed A", 200, "bed"), a_space("F-1", 120)
    page = phone_client.get(address)
    asked = phone_client.post(address, {"once": key_in(page), "plants": "20", "to_space": "Bed A"})
    assert refusals(asked) == ["green butterhead has no stage in a bed by its schedule. Move them there all the same?"]
    assert yes_in(asked) == ["other_kind"]
    sent = {"once": key_in(asked), "plants": "20", "to_space": "Bed A", "yes": "other_kind"}
    assert phone_client.post(address, sent).status_code == 303
    assert here(nursery.planting) == [("N-1", 100), ("Bed A", 20)]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"plants": "", "to_space": "F-1"}, "Type how much; nothing typed is not taken for 0."),
        ({"plants": "1.5", "to_space": "F-1"}, "“1.5” is not a whole number."),
        ({"plants": "5", "to_space": ""}, "Choose a space."),
        ({"plants": "5", "to_space": "X-9"}, "There is no space X-9."),
        ({"into": "rubbish"}, "That button was made by an older page. Open the page again."),
        ({"into": "999=5"}, "A space of that button is there no more. Open the page again."),
    ],
)
def test_what_cannot_be_read_comes_back_with_a_word(phone_client, address, typed, words):
    a_space("F-1", 120)
    refused = phone_client.post(address, {"once": "a key", **typed})
    assert (refused.status_code, refusals(refused)) == (422, [words])


def test_where_nothing_stands_any_more_there_is_nothing_to_press(phone_client, nursery, address):
    a_space("F-1", 120)
    page = phone_client.get(address)
    phone_client.post(address, {"once": key_in(page), "into": hidden_in(page, "into")})
    page = phone_client.get(address)
    assert (great_in(page), "No plants stand here any more." in text_of(page)) == ([], True)


def test_full_spaces_are_counted_and_left_out_until_somebody_asks_for_them(phone_client, nursery, address):
    a_space("F-1", 120)
    for name in ("F-2", "F-3"):
        a_stay(a_planting(f"P-{name}", 18), a_space(name))
    page = phone_client.get(address)
    assert re.findall(r'<option value="([^"]+)"', page.content.decode()) == ["F-1"]
    assert "2 spaces are full. Choose among them too" in text_of(page)
    more = unescape(dict((words, link) for link, words in links_of(page, "inline-link"))["Choose among them too"])
    page = phone_client.get(more)
    assert re.findall(r'<option value="([^"]+)"', page.content.decode()) == ["F-1", "F-2", "F-3"]
    assert "spaces are full" not in text_of(page)
    refused = phone_client.post(address, {"once": key_in(page), "plants": "5", "to_space": "F-2"})
    assert re.findall(r'<option value="([^"]+)" selected', refused.content.decode()) == ["F-2"]
    assert "1 space is full." in text_of(refused)


@pytest.mark.parametrize("spaces", [3, 300])
def test_the_page_asks_the_database_as_often_for_many_spaces(phone_client, address, django_assert_num_queries, spaces):
    planting = a_planting("P-2", spaces)
    for number in range(spaces):
        a_stay(planting, a_space(f"F-{number}"), 1)
    with django_assert_num_queries(11):
        page = phone_client.get(address)
    assert page.content.decode().count("<option") == spaces
