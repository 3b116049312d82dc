"""At the stall: a press is an entry; whatever goes wrong, what was typed comes back."""

import re

import pytest
import time_machine

from farmops.journal.models import Entry, Source
from farmops.selling.models import MarketDay
from tests.selling.market import NOON, SATURDAY, a_line, an_item, at, in_stock, known, loaded, many_lines

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def noon_at_the_market(frozen_time):
    with time_machine.travel(NOON, tick=False):
        yield


def address(line):
    return f"/markets/{line.market_day_id}/stall/"


def press(client, line, what, key=None, **typed):
    values = {"once": key or f"{what} {typed}", "what": what, "line": line.pk, **typed}
    return client.post(address(line), values, follow=True)


def stands(answer):
    """Name and state of each item, in the page's order."""
    found = re.findall(
        r'<b>([^<]+)</b>\s*<span class="state"><span[^>]*>(.)</span> ([^<]+)</span>', answer.content.decode()
    )
    return [(name, shape, state) for name, shape, state in found]


def test_one_press_is_sold_out_now_and_the_same_again_later_is_back_on_the_table(phone_client):
    line = a_line()
    answer = press(phone_client, line, "out")
    assert stands(answer) == [("sweet basil", "✕", "sold out 12:00")]
    entry = Entry.objects.get(job="stall")
    assert (entry.source, entry.by.name, entry.said) == (Source.STALL, "Ines", "sweet basil sold out at 12:00")
    assert 'name="what" value="back" aria-pressed="true"' in answer.content.decode()
    with time_machine.travel(NOON.replace(minute=30), tick=False):
        answer = press(phone_client, line, "back")
    assert stands(answer) == [("sweet basil", "●", "on the table again")]
    assert known(line).empty == ((at(12), at(12, 30)),)


@pytest.mark.parametrize(
    ("what", "typed", "out_at"),
    [("out", {}, [720]), ("ago", {}, [715]), ("out_at", {"time": "11:40"}, [700]), ("out_at", {"time": "1140"}, [700])],
)
def test_when_it_ran_out(phone_client, what, typed, out_at):
    line = a_line()
    press(phone_client, line, what, **typed)
    assert known(line).out_at == out_at


def test_five_minutes_ago_after_a_press_is_one_sell_out_and_a_slip_none(phone_client):
    line = a_line()
    press(phone_client, line, "out")
    press(phone_client, line, "ago")
    assert known(line).out_at == [715]
    press(phone_client, line, "slip")
    assert known(line).out_at == []


def test_restock_tally_and_price_are_noted_beside_the_item(phone_client):
    line = a_line()
    loaded(line, "50")
    press(phone_client, line, "restock", amount="20", time="10:15")
    press(phone_client, line, "tally", amount="18")
    answer = press(phone_client, line, "price", price="2 for 5")
    notes = re.search(r'class="notes">([^<]*)<', answer.content.decode()).group(1)
    assert notes == "50 loaded · 20 of it put out 10:15 · 18 counted as sold · 2 for $5.00 12:00"
    assert answer.context["page"].entries == 3


def test_the_same_press_sent_twice_is_one(phone_client):
    line = a_line()
    for _ in range(2):
        press(phone_client, line, "restock", key="same", amount="20")
    assert known(line).amount("restocked") == 20


def test_what_cannot_be_read_comes_back_as_typed_with_the_same_key(phone_client):
    line = a_line()
    answer = press(phone_client, line, "restock", key="typed", amount="1,250")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "“1,250” can be read two ways" in page
    assert re.search(r'<input id="again-amount" name="amount" value="1,250"', page)
    assert 'name="once" value="typed"' in page
    assert answer.context["item_name"] == "sweet basil"


def test_a_question_is_answered_with_one_press_and_nothing_is_typed_again(phone_client):
    line = a_line()
    loaded(line, "50")
    answer = press(phone_client, line, "restock", key="more", amount="60")
    assert (answer.status_code, answer.context["question"]) == (422, "more_than_loaded")
    press(phone_client, line, "restock", key="more", amount="60", yes="more_than_loaded")
    assert known(line).amount("restocked") == 60


@pytest.mark.parametrize(
    ("what", "words"),
    [("", "Choose what happened."), ("dance", "Choose what happened."), ("out", "That item is not on this list.")],
)
def test_what_makes_no_sense_is_said(phone_client, what, words):
    line = a_line()
    answer = phone_client.post(address(line), {"once": "k", "what": what, "line": 999})
    assert (answer.status_code, words in answer.content.decode()) == (422, True)


def test_a_sell_out_before_the_market_opens_is_asked_and_nothing_is_noted(phone_client):
    line = a_line()
    with time_machine.travel(NOON.replace(hour=10, minute=57), tick=False):  # 6:57 at the market, which opens at 8:00
        answer = press(phone_client, line, "out", key="early")
        page = answer.content.decode()
        assert (answer.status_code, Entry.objects.filter(job="stall").count()) == (422, 0)
        assert "It opens at 08:00, and this says 06:57. Did it run out before?" in page
        assert re.search(r'<label for="again-opened">([^<]*)<', page).group(1) == "Yes: that day it opened at"
        assert "It was a slip: note nothing" in page
        assert stands(phone_client.get(address(line))) == [("sweet basil", "●", "on the table")]
        answer = press(phone_client, line, "out", key="early", opened="7:30")
        assert (answer.status_code, "It was open by 06:57, then" in answer.content.decode()) == (422, True)
        answer = press(phone_client, line, "out", key="early", opened="6:30")
    assert stands(answer) == [("sweet basil", "✕", "sold out 06:57")]
    assert (MarketDay.objects.get().opens_minute, known(line).out_at) == (at(6, 30), [at(6, 57)])


@pytest.mark.parametrize("opened", ["soon", "25:00"])
def test_an_opening_that_is_no_time_is_asked_again(phone_client, opened):
    line = a_line()
    with time_machine.travel(NOON.replace(hour=10), tick=False):
        answer = press(phone_client, line, "out", opened=opened)
    assert (answer.status_code, answer.context["form"].errors["opened"]) == (
        422,
        [f"“{opened}” is no time. Type it like 11:40."],
    )


def test_a_sell_out_noted_at_home_may_have_been_at_any_time(phone_client):
    line = a_line()
    with time_machine.travel(NOON.replace(hour=22), tick=False):  # 18:00; it closed at 13:00
        answer = press(phone_client, line, "out", key="late")
        assert "It closed at 13:00, and this says 18:00. Did it run out after that?" in answer.content.decode()
        assert 'name="what" value="out_sometime"' in answer.content.decode()
        press(phone_client, line, "out_sometime", key="late")
    assert (known(line).out_at, MarketDay.objects.get().closes_minute) == ([None], at(13))


def test_more_on_the_table_was_loaded_or_is_brought_besides(phone_client):
    line = a_line()
    in_stock(line.item, 40)
    loaded(line, "30")
    press(phone_client, line, "restock", amount="6", time="10:00")
    answer = press(phone_client, line, "besides", amount="4", time="11:00")
    notes = re.search(r'class="notes">([^<]*)<', answer.content.decode()).group(1)
    assert notes == "30 loaded · 6 of it put out 10:00 · 4 more brought 11:00"
    assert (known(line).loaded, known(line).amount("restocked")) == (34, 10)


def test_rain_left_early_and_called_off(phone_client):
    line = a_line()
    for what, typed in (("rain", {}), ("left", {"time": "11:00"})):
        phone_client.post(address(line), {"once": what, "what": what, **typed})
    day = MarketDay.objects.get()
    assert (day.weather, day.left_minute) == ("rain", at(11))
    answer = phone_client.post(address(line), {"once": "off", "what": "off"}, follow=True)
    assert (MarketDay.objects.get().status, answer.context["page"].is_called_off) == ("called off", True)


def test_of_another_day_the_time_is_not_known_unless_typed(phone_client):
    line = a_line(held_on=SATURDAY.replace(day=1))
    press(phone_client, line, "out")
    assert known(line).out_at == [None]
    answer = press(phone_client, line, "ago")
    assert (answer.status_code, "That market is over: type the time." in answer.content.decode()) == (422, True)


def test_what_was_not_loaded_stands_apart(phone_client):
    loaded(a_line(), "50")
    line = a_line(an_item("cilantro"))
    page = phone_client.get(address(line)).context["page"]
    assert [stand.known.line.item.name for stand in page.stands] == ["sweet basil"]
    assert [stand.known.line.item.name for stand in page.others] == ["cilantro"]


def test_a_fragment_for_htmx_and_whom_it_is_for(phone_client, client):
    line = a_line()
    answer = phone_client.get(address(line), headers={"HX-Request": "true"})
    assert answer.content.decode().lstrip().startswith('<section id="stall"')
    assert client.get(address(line)).status_code in {302, 303, 403}
    assert phone_client.get("/markets/999/stall/").status_code == 404


@pytest.mark.parametrize("rows", [3, 300])
def test_the_same_questions_for_every_length(phone_client, rows, django_assert_num_queries):
    line = many_lines(rows)
    with django_assert_num_queries(6):
        phone_client.get(address(line))
