"""A market day before it is held."""

import re
from datetime import timedelta

import pytest
import time_machine

from farmops.harvest.models import StockMove
from farmops.planning.models import StoredAnswer
from farmops.planning.stored_answers import _locks
from farmops.selling.at_stall import sold_out
from farmops.selling.models import MarketFact
from tests.journal.entries import an_entry
from tests.selling.market import NOON, SATURDAY, a_line, an_item, at, in_stock, known, loaded, many_lines, saying

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def noon_at_the_market(frozen_time):
    with time_machine.travel(NOON, tick=False):
        yield


def address(line):
    return f"/markets/{line.market_day_id}/"


def send(client, line, what, **typed):
    return client.post(address(line), {"once": f"{what} {typed}", "what": what, **typed}, follow=True)


def row(answer):
    return answer.context["page"].rows[0]


def work_out(client, line):
    return client.post(f"{address(line)}advice/", follow=True)


def some_saturdays(weeks=6):
    """Forty brought, sold out at eleven, week after week."""
    for week in range(1, weeks + 1):
        day = SATURDAY - timedelta(weeks=week)
        line = a_line(held_on=day)
        loaded(line, "40")
        then = NOON - timedelta(weeks=week)
        sold_out(saying=saying(f"out {week}", day=day, said_at=then, now=then), line=line, minute=at(11))


def test_nothing_is_worked_out_by_opening_the_page(phone_client):
    some_saturdays()
    line = a_line()
    answer = phone_client.get(address(line))
    assert (row(answer).advised, StoredAnswer.objects.count()) == ("", 0)
    assert "What to bring was not worked out for this day yet." in answer.content.decode()
    assert row(answer).lately == "lately 40–67 a day, sold out on 6 of 6 days"


def test_worked_out_it_advises_more_than_what_ran_out_and_says_why(phone_client):
    some_saturdays()
    line = a_line()
    answer = work_out(phone_client, line)
    assert 40 < int(row(answer).advised) < 100
    assert row(answer).reason.startswith("It ran out on 6 of 6 days, so more was wanted than sold")
    assert "Nothing was written down since." in answer.content.decode()
    loaded(line, "10")
    assert "1 entry since: work it out again." in phone_client.get(address(line)).content.decode()


def test_two_at_once_are_told(phone_client):
    line = a_line()
    lock = _locks["bring"]
    with lock:
        answer = work_out(phone_client, line)
    assert "It is being worked out at the moment." in answer.content.decode()


def test_my_own_number_is_kept_beside_the_advice(phone_client):
    some_saturdays()
    line, chard = a_line(), a_line(an_item("chard"))
    work_out(phone_client, line)
    send(phone_client, line, "keep", **{f"own-{line.pk}": "65", f"own-{chard.pk}": ""})
    line.refresh_from_db(), chard.refresh_from_db()
    assert (line.own_number, chard.own_number) == (65, None)
    assert (line.advised is not None, chard.advised is not None) == (True, True)
    rows = {one.line.item.name: one.box for one in phone_client.get(address(line)).context["page"].rows}
    assert rows == {"chard": "", "sweet basil": "65"}


def test_loading_takes_my_number_where_there_is_one_and_else_the_advice(phone_client):
    some_saturdays()
    line, chard, dill = a_line(), a_line(an_item("chard")), a_line(an_item("dill"))
    for one in (line, chard):
        in_stock(one.item, 200, code=one.item.name)
    work_out(phone_client, line)
    advised = {one.line.pk: one.advised for one in phone_client.get(address(line)).context["page"].rows}
    send(phone_client, line, "load", **{f"own-{line.pk}": "65", f"own-{chard.pk}": "", f"own-{dill.pk}": "0"})
    assert (known(line).loaded, str(known(chard).loaded), known(dill).loaded) == (65, advised[chard.pk], 0)
    (basil,) = (one for one in phone_client.get(address(line)).context["page"].rows if one.line.pk == line.pk)
    assert (basil.loaded, basil.lies, basil.box) == ("65", "135", "")


def test_more_than_lies_there_is_asked_with_everything_typed_still_there(phone_client):
    line = a_line()
    in_stock(line.item, 40)
    answer = send(phone_client, line, "load", **{f"own-{line.pk}": "48"})
    page = answer.content.decode()
    assert (answer.status_code, answer.context["question"], row(answer).box) == (422, "more_than_lies", "48")
    assert 'name="what" value="load"' in page
    assert "More than lies in the cold room: sweet basil 48 of 40." in page
    assert f'<p class="wrong" id="wrong-{line.pk}">More than lies in the cold room: 48 of 40.</p>' in page
    (box,) = re.findall(r"<input[^>]*autofocus[^>]*>", page)
    assert (f'id="box-{line.pk}"' in box, f'aria-describedby="wrong-{line.pk}"' in box) == (True, True)
    send(phone_client, line, "load", yes="more_than_lies", **{f"own-{line.pk}": "48"})
    assert (known(line).loaded, sum(StockMove.objects.filter(why="loaded").values_list("amount", flat=True))) == (
        48,
        -48,
    )


def test_what_is_advised_and_does_not_lie_there_is_asked_in_its_box(phone_client):
    some_saturdays()
    line = a_line()
    work_out(phone_client, line)
    answer = send(phone_client, line, "load", **{f"own-{line.pk}": ""})
    assert (answer.status_code, answer.context["question"]) == (422, "more_than_lies")
    assert (row(answer).box, row(answer).wrong) == (
        row(answer).advised,
        f"More than lies in the cold room: {row(answer).advised} of 0.",
    )
    assert known(line).loaded is None


def test_a_box_that_cannot_be_read_says_so_at_its_line(phone_client):
    line = a_line()
    answer = send(phone_client, line, "keep", **{f"own-{line.pk}": "some"})
    assert (answer.status_code, row(answer).box) == (422, "some")
    assert row(answer).wrong == "“some” cannot be read as an amount. Type it like 12.5, ½ or 2 lb 6 oz."


def test_loaded_lines_are_not_loaded_again_unless_more_is_typed(phone_client):
    line, chard = a_line(), a_line(an_item("chard"))
    loaded(line, "40")
    answer = send(phone_client, line, "load", yes="more_than_lies", **{f"own-{chard.pk}": "20"})
    assert (known(line).loaded, known(chard).loaded) == (40, 20)
    assert MarketFact.objects.filter(line=line).count() == 1
    send(phone_client, line, "load", yes="more_than_lies load_more", **{f"more-{line.pk}": "8"})
    assert known(line).loaded == 48
    assert re.search(rf'name="more-{line.pk}"', answer.content.decode())


@pytest.mark.parametrize("count", [3, 300])
def test_the_same_questions_for_every_length(phone_client, count, django_assert_num_queries):
    some_saturdays(1)
    line = many_lines(count)
    work_out(phone_client, line)
    with django_assert_num_queries(9):
        phone_client.get(address(line))
    an_entry("something new")
    with django_assert_num_queries(14):
        phone_client.get(address(line))
