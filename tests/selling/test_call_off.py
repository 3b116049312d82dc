"""What is said of a whole market day."""

from datetime import timedelta

import pytest

from farmops.harvest.models import StockMove
from farmops.harvest.stock import in_the_cold_room
from farmops.journal.refusal import Refused
from farmops.journal.undo import undo
from farmops.people.models import Person
from farmops.selling.at_stall import sold_out
from farmops.selling.call_off import call_off, close_day, left_early, say_weather
from farmops.selling.market_facts import known_lines, takes_place
from farmops.selling.models import MarketDay, MarketFact
from tests.selling.market import SATURDAY, a_line, an_item, at, in_stock, known, loaded, saying

pytestmark = pytest.mark.django_db


@pytest.mark.case("M02")
def test_called_off_leaves_no_row_of_zeros_and_sixty_heads_in_stock_with_lot_and_age():
    """permies.com "Market Today", agrariangrrl.blogspot.com 2009/06 (seen); (c) called off at 5:00, 60 heads cut."""
    line = a_line(an_item("lettuce head", "head"))
    in_stock(line.item, 40, days_ago=2, code="old")
    in_stock(line.item, 20, days_ago=1, code="new")
    loaded(line, "60")
    assert in_the_cold_room(SATURDAY) == []
    said = call_off(saying=saying("off"), market_day=line.market_day).entry.said
    (heads,) = in_the_cold_room(SATURDAY + timedelta(days=1))
    assert (heads.amount, [(lot.code, lot.amount, lot.age_days) for lot in heads.lots]) == (
        60,
        [("old", 40, 3), ("new", 20, 2)],
    )
    day = MarketDay.objects.get()
    assert (day.status, takes_place(day, known_lines(day))) == ("called off", False)
    assert list(MarketFact.objects.live().values_list("kind", "amount")) == [("brought", 60)]
    assert said == "Quillby Green, Sat 2 May 2026, called off"


def test_what_was_called_off_can_be_held_after_all():
    line = a_line()
    in_stock(line.item, 60)
    loaded(line, "60")
    undo(saying("undo", corrects=call_off(saying=saying("off"), market_day=line.market_day).entry))
    assert (in_the_cold_room(SATURDAY), known(line).line.market_day.status) == ([], "planned")


def test_a_load_of_a_day_called_off_is_not_given_back_twice():
    line = a_line()
    in_stock(line.item, 60)
    entry = loaded(line, "60").entry
    call_off(saying=saying("off"), market_day=line.market_day)
    with pytest.raises(Refused, match=r"^Later entries rest on this one: Quillby Green, Sat 2 May 2026, called off"):
        undo(saying("undo", corrects=entry))


def test_what_was_held_is_not_called_off_and_twice_is_told():
    line = a_line()
    loaded(line, "60")
    sold_out(saying=saying("out"), line=line, minute=at(11))
    with pytest.raises(Refused, match=r"^It was held: “sweet basil sold out at 11:00”\. Take that back first"):
        call_off(saying=saying("off"), market_day=line.market_day)
    other = a_line(held_on=SATURDAY + timedelta(days=7))
    call_off(saying=saying("ahead"), market_day=other.market_day)
    with pytest.raises(Refused, match=r"^Quillby Green, Sat 9 May 2026, was called off"):
        call_off(saying=saying("again"), market_day=other.market_day)
    assert StockMove.objects.filter(why="came back").count() == 0


def test_rain_and_leaving_early_end_the_day_without_a_sell_out():
    line = a_line()
    loaded(line, "40")
    say_weather(saying=saying("rain"), market_day=line.market_day, weather="rain")
    said = left_early(saying=saying("left"), market_day=line.market_day, minute=at(11)).entry.said
    found = known(line)
    assert (found.line.market_day.weather, found.closes, found.is_at_least) == ("rain", at(11), False)
    assert said == "Quillby Green, Sat 2 May 2026: left at 11:00"
    with pytest.raises(Refused, match=r"^It was open from 08:00 to 13:00: leave a time between"):
        left_early(saying=saying("late"), market_day=line.market_day, minute=at(14))


def test_the_evening_is_closed_once_and_what_comes_later_counts():
    line = a_line()
    ines = Person.objects.create(name="Ines")
    close_day(saying=saying("close", by=ines), market_day=line.market_day)
    with pytest.raises(Refused, match=r"^Ines closed this day at 12:00 already\. What is noted now still counts"):
        close_day(saying=saying("other"), market_day=line.market_day)
    sold_out(saying=saying("out"), line=line, minute=at(11))
    assert known(line).out_at == [at(11)]
