"""At the stall: spells of an empty table, restocks, prices from now on, counts of sales."""

from datetime import timedelta

import pytest

from farmops.journal.models import Change, Entry
from farmops.journal.refusal import NeedsYes, Refused
from farmops.selling.at_stall import (
    back_on_table,
    not_sold_out,
    odd_in_words,
    price_from_now,
    price_typed,
    sold_out,
    tally,
)
from farmops.selling.models import MarketDay, MarketFact
from tests.journal.entries import an_entry
from tests.selling.market import NOON, SATURDAY, a_line, at, known, loaded, saying

pytestmark = pytest.mark.django_db


def later(key, minutes):
    then = NOON + timedelta(minutes=minutes)
    return saying(key, said_at=then, now=then)


def test_out_and_back_are_spells_and_the_market_took_place():
    line = a_line()
    assert sold_out(saying=saying("out"), line=line, minute=at(9, 30)).entry.said == "sweet basil sold out at 09:30"
    assert (known(line).is_empty, known(line).line.market_day.status) == (True, MarketDay.Status.TOOK_PLACE)
    back_on_table(saying=later("back", 45), line=line, minute=at(10, 15))
    sold_out(saying=later("out again", 150), line=line, minute=at(12, 0))
    assert (known(line).empty, known(line).out_at) == (((570, 615), (720, None)), [570, 720])


def test_the_same_press_again_at_once_takes_a_slip_back_and_no_sell_out_stays():
    line = a_line()
    sold_out(saying=saying("out"), line=line, minute=at(12))
    said = back_on_table(saying=later("back", 2), line=line, minute=at(12, 2)).entry.said
    assert (said, known(line).empty, known(line).out_at) == ("sweet basil was not sold out after all", (), [])
    again = back_on_table(saying=later("back", 2), line=line, minute=at(12, 2))
    assert (again.was_there, again.entry.said) == (True, said)


def test_a_slip_seen_later_is_taken_back_by_name():
    line = a_line()
    sold_out(saying=saying("out"), line=line, minute=at(12))
    not_sold_out(saying=later("slip", 60), line=line)
    assert known(line).facts == ()
    with pytest.raises(Refused, match=r"^sweet basil is not noted as sold out"):
        not_sold_out(saying=later("slip again", 61), line=line)


def test_five_minutes_ago_replaces_the_press_and_a_second_press_is_told():
    line = a_line()
    sold_out(saying=saying("out"), line=line, minute=at(11, 40))
    with pytest.raises(Refused, match=r"^sweet basil is noted as sold out at 11:40 already"):
        sold_out(saying=saying("other phone"), line=line, minute=at(11, 42))
    sold_out(saying=saying("ago"), line=line, minute=at(11, 35))
    assert known(line).out_at == [at(11, 35)]
    sold_out(saying=saying("put right"), line=line, minute=at(11, 50), puts_right=True)
    assert (known(line).out_at, MarketFact.objects.count()) == ([at(11, 50)], 3)


def test_a_time_found_later_replaces_a_time_not_known():
    line = a_line()
    sold_out(saying=saying("out"), line=line, minute=None)
    assert (known(line).empty, known(line).balance.out_minutes) == (((None, None),), None)
    sold_out(saying=saying("time"), line=line, minute=at(12, 10))
    assert known(line).empty == ((at(12, 10), None),)


def test_a_time_read_from_a_sheet_is_altered_with_old_and_new_noted():
    line = a_line()
    read = an_entry("read", "read")
    MarketFact.objects.create(line=line, kind="sold out", minute=at(11, 40), entry=read)
    sold_out(saying=saying("right"), line=line, minute=at(10, 40), puts_right=True)
    change = Change.objects.get(table="selling.marketfact")
    assert (change.column, change.old, change.new) == ("minute", 700, 640)
    assert (known(line).out_at, Entry.objects.live().filter(job="read").count()) == ([640], 1)
    with pytest.raises(Refused, match=r"^That was read from a sheet"):
        not_sold_out(saying=saying("slip"), line=line)


def test_nothing_is_said_of_a_market_ahead_or_called_off():
    line = a_line(held_on=SATURDAY + timedelta(days=7))
    with pytest.raises(Refused, match=r"^Quillby Green, Sat 9 May 2026, lies ahead"):
        sold_out(saying=saying("out"), line=line, minute=at(9))
    MarketDay.objects.update(status="called off")
    with pytest.raises(Refused, match=r"was called off\. Take that back first"):
        tally(saying=saying("tally"), line=line, typed="3")


@pytest.mark.parametrize(
    ("typed", "price"),
    [
        ("3.50", (1, 350)),
        ("2 for 5", (2, 500)),
        ("2 for $5", (2, 500)),
        ("3/10", (3, 1000)),
        ("$4", (1, 400)),
        ("2,5", (1, 250)),
    ],
)
def test_prices_are_read_as_people_type_them(typed, price):
    assert price_typed(typed) == price


@pytest.mark.parametrize("typed", ["3.505", "two", "0 for 5", "2 for"])
def test_what_is_no_price_is_refused(typed):
    with pytest.raises(Refused):
        price_typed(typed)


@pytest.mark.case("M05")
def test_fifteen_at_two_for_five_is_asked():
    """readersdigest.ca, 13 things about farmers markets (seen); the digits are ours."""
    line = a_line()
    loaded(line, "60")
    price_from_now(saying=saying("price"), line=line, typed="2 for 5", minute=at(11), sold_so_far="")
    with pytest.raises(NeedsYes, match=r"^15 sold at 2 for \$5\.00 is an odd number. Is it meant") as asked:
        tally(saying=saying("15"), line=line, typed="15")
    tally(saying=saying("15"), line=line, typed="15", minute=at(12), yes=frozenset({asked.value.question}))
    found = known(line).takings
    assert (found.low, found.high, odd_in_words(known(line))) == (3750, 3750, "15 at 2 for $5.00: an odd number")
