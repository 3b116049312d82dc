"""A market of 8:00 to 13:00: what is said of a time outside its hours."""

import pytest

from farmops.journal.models import Change
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from farmops.planning.from_tables import farm_rows
from farmops.planning.wants import market_records
from farmops.selling.at_stall import back_on_table, price_from_now, sold_out, tally
from farmops.selling.models import MarketDay
from farmops.selling.own_hours import Hours
from farmops.selling.restock import restock
from tests.selling.market import SATURDAY, a_line, an_item, at, known, loaded, saying

pytestmark = pytest.mark.django_db

DEEDS = {
    "out": lambda **how: sold_out(**how),
    "back": lambda **how: back_on_table(**how),
    "restock": lambda **how: restock(typed="6", **how),
    "count": lambda **how: tally(typed="6", **how),
    "price": lambda **how: price_from_now(typed="3", **how),
}


def do(what, line, minute, **how):
    return DEEDS[what](saying=saying(f"{what} {minute} {how}"), line=line, minute=minute, **how)


@pytest.mark.parametrize(
    ("what", "minute", "asked"),
    [
        ("out", at(7, 59), "It opens at 08:00, and this says 07:59. Did it run out before?"),
        ("back", at(7), "It opens at 08:00, and this says 07:00. Was more put on the table before?"),
        ("restock", at(7), "It opens at 08:00, and this says 07:00. Was more put on the table before?"),
        ("count", at(4), "It opens at 08:00, and this says 04:00. Was it sold before?"),
        ("price", at(6, 59), "It opens at 08:00, and this says 06:59. Did it cost that before?"),
    ],
)
def test_before_it_opens_is_asked_and_nothing_is_noted(what, minute, asked):
    line = a_line()
    with pytest.raises(Refused) as refused:
        do(what, line, minute)
    assert (str(refused.value), refused.value.field, known(line).facts) == (asked, "opened", ())


@pytest.mark.parametrize(
    ("what", "minute", "asked"),
    [
        ("out", at(14, 1), "It closed at 13:00, and this says 14:01. Did it run out after that?"),
        ("back", at(20), "It closed at 13:00, and this says 20:00. Was more put on the table after that?"),
        ("restock", at(20), "It closed at 13:00, and this says 20:00. Was more put on the table after that?"),
        ("price", at(14, 1), "It closed at 13:00, and this says 14:01. Did it cost that after closing?"),
    ],
)
def test_long_after_it_closed_is_asked(what, minute, asked):
    line = a_line()
    with pytest.raises(Refused) as refused:
        do(what, line, minute)
    assert (str(refused.value), refused.value.field, known(line).facts) == (asked, "closed", ())


@pytest.mark.parametrize(
    ("what", "minute"),
    [
        ("out", at(8)),
        ("out", at(14)),
        ("out", None),
        ("restock", at(14)),
        ("count", at(22)),
        ("price", at(7)),
        ("price", at(14)),
    ],
)
def test_within_its_hours_and_while_packing_up_nothing_is_asked(what, minute):
    line = a_line()
    do(what, line, minute)
    assert len(known(line).facts) == 1


def test_it_opened_earlier_is_noted_with_the_day_and_taken_back_with_the_press():
    line = a_line()
    loaded(line, "30")
    done = do("out", line, at(7, 30), hours=Hours(opened=at(7)))
    found = known(line)
    assert (found.opens, found.empty, found.balance.out_minutes) == (at(7), ((at(7, 30), None),), 330)
    change = Change.objects.get(column="opens_minute")
    assert (change.table, change.old, change.new) == ("selling.marketday", 480, 420)
    undo(saying("undo", corrects=done.entry))
    assert (known(line).opens, known(line).out_at) == (at(8), [])


def test_it_was_open_longer_is_noted_with_the_day():
    line = a_line()
    do("out", line, at(14, 30), hours=Hours(closed=at(15)))
    assert (MarketDay.objects.get().closes_minute, known(line).empty) == (at(15), ((at(14, 30), None),))


@pytest.mark.parametrize(
    ("minute", "hours", "words"),
    [
        (at(7), Hours(opened=at(7, 1)), "It was open by 07:00, then: type that time or an earlier one."),
        (at(15), Hours(closed=at(14, 59)), "It was open until 15:00, then: type that time or a later one."),
    ],
)
def test_hours_that_do_not_explain_it_are_asked_again(minute, hours, words):
    with pytest.raises(Refused) as refused:
        do("out", a_line(), minute, hours=hours)
    assert str(refused.value) == words


def test_the_estimate_is_told_of_the_day_as_it_really_was():
    line = a_line(an_item("sweet basil"))
    loaded(line, "30")
    do("out", line, at(7, 30), hours=Hours(opened=at(7)))
    ((record,), _left_out) = market_records(farm_rows(), SATURDAY)
    assert (record.opens, record.ran_out, record.ran_out_at) == (at(7), True, (at(7, 30),))
