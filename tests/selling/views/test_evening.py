"""The evening's page: presets, digits, the rest in one press, the balance; money for those who may see it."""

import html
import re
from datetime import timedelta

import pytest

from farmops.journal.models import Entry
from farmops.selling.at_stall import tally
from farmops.selling.models import MarketDay
from tests.selling.market import SATURDAY, a_line, an_item, back, known, loaded, many_lines, saying

pytestmark = pytest.mark.django_db


def address(line):
    return f"/markets/{line.market_day_id}/evening/"


def send(client, line, key="form", **typed):
    return client.post(address(line), {"once": key, **typed}, follow=True)


def rows(answer):
    return {row.known.line.item.name: row for row in answer.context["page"].rows}


def words(answer):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def test_digits_and_the_preset_place_are_saved_and_what_is_empty_stays_unknown(phone_client):
    basil, chard = a_line(), a_line(an_item("chard"))
    for line in (basil, chard):
        loaded(line, "40")
    place = rows(phone_client.get(address(basil)))["sweet basil"].place
    answer = send(phone_client, basil, **{f"back-{basil.pk}": "6", f"to-{basil.pk}": place, f"back-{chard.pk}": ""})
    assert (place, dict(known(basil).came_back), dict(known(chard).came_back)) == ("home", {"home": 6}, {})
    assert rows(answer)["sweet basil"].sums == ("40 brought = 34 sold + 6 taken home",)
    assert rows(answer)["chard"].sums == ("40 brought; what came back is not known",)
    assert Entry.objects.get(job="came back").by.name == "Ines"


def test_the_preset_is_where_it_went_last_time(phone_client):
    last = a_line(held_on=SATURDAY - timedelta(days=7))
    back(last, donated=4)
    assert rows(phone_client.get(address(a_line())))["sweet basil"].place == "donated"
    soft = a_line(an_item("cress", keeps_days=2))
    assert rows(phone_client.get(address(soft)))["cress"].place == "compost"


@pytest.mark.case("M04")
def test_what_went_to_several_places_balances_and_two_missing_are_shown(phone_client):
    """Paper sheet "To Mkt / From Mkt / Total sold"; 5280artisanfarm.com (seen): 60 brought, 47 sold, 8, 3 and 2."""
    line = a_line()
    loaded(line, "60")
    tally(saying=saying("tally"), line=line, typed="47")
    boxes = {f"home-{line.pk}": "3", f"donated-{line.pk}": "8", f"compost-{line.pk}": "2"}
    answer = send(phone_client, line, **boxes)
    assert rows(answer)["sweet basil"].sums == (
        "60 brought = 47 sold, as counted + 3 taken home + 8 given away + 2 compost",
    )
    seen = rows(answer)["sweet basil"].seen
    again = send(phone_client, line, "again", **{**boxes, f"donated-{line.pk}": "6", f"seen-{line.pk}": seen})
    assert rows(again)["sweet basil"].sums[0] == (
        "60 brought = 47 sold, as counted + 3 taken home + 6 given away + 2 compost + 2 unaccounted"
    )
    assert known(line).balance.unaccounted == 2


def test_the_rest_none_came_back_is_one_press(phone_client):
    lines = [a_line(an_item(name)) for name in ("basil", "chard", "dill")]
    for line in lines:
        loaded(line, "40")
    page = phone_client.get(address(lines[0])).context["page"]
    assert page.rest == 3
    answer = send(phone_client, lines[0], rest="1", **{f"back-{lines[1].pk}": "2", f"to-{lines[1].pk}": "compost"})
    assert [dict(known(line).came_back) for line in lines] == [{"left": 0}, {"compost": 2}, {"left": 0}]
    assert (Entry.objects.filter(job="came back").count(), answer.context["page"].rest) == (1, 0)
    assert rows(answer)["basil"].figure == "0"


def test_what_cannot_be_read_names_its_item_and_everything_typed_comes_back(phone_client):
    basil, chard = a_line(), a_line(an_item("chard"))
    answer = send(
        phone_client,
        basil,
        **{f"back-{basil.pk}": "6", f"to-{basil.pk}": "donated", f"back-{chard.pk}": "lots", f"to-{chard.pk}": "home"},
    )
    assert (answer.status_code, "chard: “lots” cannot be read as an amount" in words(answer)) == (422, True)
    assert [(row.figure, row.place) for row in rows(answer).values()] == [("lots", "home"), ("6", "donated")]
    assert Entry.objects.filter(job="came back").count() == 0


def test_each_box_is_named_and_what_is_wrong_stands_at_its_line_and_gets_the_focus(phone_client):
    basil, chard, dill = (a_line(an_item(name)) for name in ("basil", "chard", "dill"))
    for line in (basil, chard, dill):
        loaded(line, "20")
    typed = {f"back-{chard.pk}": "99", f"back-{dill.pk}": "21", f"to-{chard.pk}": "home", f"to-{dill.pk}": "home"}
    answer = send(phone_client, basil, **typed)
    page = answer.content.decode()
    assert {name: row.wrong for name, row in rows(answer).items()} == {
        "basil": "",
        "chard": "More came back than was loaded: 99 of 20 loaded.",
        "dill": "More came back than was loaded: 21 of 20 loaded.",
    }
    assert re.findall(r'<input[^>]* id="([^"]*)"[^>]*autofocus', page) == [f"back-{chard.pk}"]
    assert re.findall(r' id="([^"]*)"[^>]*aria-describedby="([^"]*)"', page) == [
        (f"back-{line.pk}", f"wrong-{line.pk}") for line in (chard, dill)
    ]
    assert re.search(rf'<label class="of" for="back-{chard.pk}">Came back<span', page)
    assert re.search(rf'<label class="of" for="to-{chard.pk}">Where it went<span', page)
    assert page.index(f'id="wrong-{chard.pk}"') < page.index(f'name="back-{dill.pk}"')


def test_a_figure_twice_for_one_place_is_asked_for_once(phone_client):
    line = a_line()
    answer = send(phone_client, line, **{f"back-{line.pk}": "6", f"to-{line.pk}": "home", f"home-{line.pk}": "6"})
    assert (answer.status_code, "sweet basil: Say once how much went where" in words(answer)) == (422, True)


def test_another_phones_figure_is_told_and_yes_puts_mine_in_its_place(phone_client):
    line = a_line()
    back(line, home=6)
    typed = {f"back-{line.pk}": "4", f"to-{line.pk}": "home", f"seen-{line.pk}": ""}
    answer = send(phone_client, line, **typed)
    assert (answer.status_code, "In the meantime it was noted: sweet basil 6 taken home" in words(answer)) == (
        422,
        True,
    )
    send(phone_client, line, yes="again", **typed)
    assert dict(known(line).came_back) == {"home": 4}


@pytest.mark.parametrize("seen", ["home:²", "home:" + "9" * 5000, "::;;x"])
def test_figures_seen_before_that_are_none_are_not_taken_for_any(phone_client, seen):
    line = a_line()
    send(phone_client, line, **{f"back-{line.pk}": "4", f"to-{line.pk}": "home", f"seen-{line.pk}": seen})
    assert dict(known(line).came_back) == {"home": 4}


def test_a_question_to_the_rest_is_still_about_the_rest(phone_client):
    line = a_line()
    loaded(line, "4")
    answer = send(phone_client, line, rest="1", **{f"back-{line.pk}": "40", f"to-{line.pk}": "home"})
    assert (answer.context["question"], 'name="rest" value="1"' in answer.content.decode()) == ("more_back", True)


def test_evening_done_saves_what_was_typed_and_unknown_stays_unknown(phone_client):
    basil, chard = a_line(), a_line(an_item("chard"))
    for line in (basil, chard):
        loaded(line, "40")
    answer = send(phone_client, basil, close="1", **{f"back-{basil.pk}": "6", f"to-{basil.pk}": "home"})
    day = MarketDay.objects.get()
    assert (day.closed_entry.by.name, dict(known(basil).came_back), dict(known(chard).came_back)) == (
        "Ines",
        {"home": 6},
        {},
    )
    assert "Evening done." in words(answer)
    send(phone_client, basil, "late", **{f"back-{chard.pk}": "1", f"to-{chard.pk}": "compost"})
    assert dict(known(chard).came_back) == {"compost": 1}


def test_closing_twice_keeps_what_the_second_typed_and_tells_the_one_who_typed_nothing(phone_client):
    line = a_line()
    send(phone_client, line, "first", close="1")
    answer = send(phone_client, line, "second", close="1")
    assert (answer.status_code, "Ines closed this day at 09:00 already" in words(answer)) == (422, True)
    send(phone_client, line, "third", close="1", **{f"back-{line.pk}": "2", f"to-{line.pk}": "home"})
    assert dict(known(line).came_back) == {"home": 2}


@pytest.mark.case("M07")
def test_from_memory_is_kept_and_shown_and_at_least_is_said(phone_client):
    """mofga.org, Footprint Farm; milesawayfarmww.com (seen): 25 of 25, nobody noted when."""
    line = a_line()
    loaded(line, "25")
    answer = send(phone_client, line, from_memory="1", **{f"back-{line.pk}": "0", f"to-{line.pk}": "left"})
    assert MarketDay.objects.get().is_from_memory
    assert "From memory." in words(answer)
    assert rows(answer)["sweet basil"].sums == (
        "25 brought = 25 sold",
        "at least 25 wanted; when it ran out is not known",
    )


def test_what_was_taken_is_for_those_who_may_see_money(phone_client, office_client):
    line = a_line()
    loaded(line, "40")
    back(line, home=6)
    assert "$136.00" not in words(phone_client.get(address(line)))
    assert "Taken $136.00" in words(office_client.get(address(line)))


@pytest.mark.parametrize("count", [3, 300])
def test_the_same_questions_for_every_length(phone_client, count, django_assert_num_queries):
    line = many_lines(count)
    with django_assert_num_queries(7):
        phone_client.get(address(line))
