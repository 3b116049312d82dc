"""The cases' own numbers, through the deeds and tables."""

from datetime import date, timedelta
from fractions import Fraction

import pytest

from farmops.core.market_day import mean_over_days_offered
from farmops.selling.at_stall import price_from_now, sold_out, tally
from farmops.selling.call_off import left_early, say_weather
from farmops.selling.market_facts import known_lines
from farmops.selling.models import Price
from farmops.selling.restock import restock
from tests.selling.market import NOON, SATURDAY, a_line, an_item, at, back, known, lb, loaded, many_lines, saying

pytestmark = pytest.mark.django_db


def held(weeks, brought, *, out=None, item=None, **came_back):
    """One Saturday so many weeks on: brought, sold out at, came back."""
    day = SATURDAY + timedelta(weeks=weeks)
    line = a_line(item, held_on=day)
    loaded(line, str(brought))
    evening = NOON + timedelta(weeks=weeks)
    if out is not None:
        sold_out(saying=saying(f"out {line.pk}", day=day, said_at=evening, now=evening), line=line, minute=out)
    if came_back:
        back(line, **came_back)
    return line


@pytest.mark.case("M01")
def test_sold_out_is_a_floor_and_even_customers_an_upper_guess():
    """tinyfarmblog.com, glenvalleyorganicfarm.blogspot.com 2011/06 (seen); the digits are ours."""
    days = [known(line) for line in (held(0, 48, out=at(11, 40)), held(1, 55, out=at(12, 50)), held(2, 60, compost=8))]
    assert [(day.sold, day.is_at_least) for day in days] == [(48, True), (55, True), (52, False)]
    assert [round(float(day.even_rate), 1) for day in days] == [65.5, 56.9, 52.0]
    assert round(float(sum(day.even_rate for day in days) / 3), 1) == 58.1
    assert round(sum(day.sold for day in days) / 3, 1) == 51.7


@pytest.mark.case("M02")
def test_a_day_without_the_item_is_no_day_without_demand():
    """agrariangrrl.blogspot.com 2009/06, tinyfarmblog.com/rainy-day-market (seen); (a) 40 of 40, none, 36 of 40."""
    days = [known(line) for line in (held(0, 40, left=0), held(1, 0), held(2, 40, compost=4))]
    offered = [(day.loaded, day.sold) for day in days]
    assert offered == [(40, 40), (0, None), (40, 36)]
    assert mean_over_days_offered(offered) == 38


@pytest.mark.case("M02")
def test_a_day_of_rain_is_kept_and_can_be_left_out_of_the_mean():
    """all-natural-mama 2011/07 (seen); (b) sold 44, 46, 22 (heavy rain, closed 11:00), 45."""
    lines = [held(week, 60, compost=60 - sold) for week, sold in enumerate((44, 46, 22, 45))]
    wet = SATURDAY + timedelta(weeks=2)
    then = NOON + timedelta(weeks=2)
    about = {"day": wet, "said_at": then, "now": then}
    say_weather(saying=saying("rain", **about), market_day=lines[2].market_day, weather="rain")
    left_early(saying=saying("left", **about), market_day=lines[2].market_day, minute=at(11))
    days = [known(line) for line in lines]
    dry = [(day.loaded, day.sold) for day in days if day.line.market_day.weather != "rain"]
    assert mean_over_days_offered(dry) == 45
    assert mean_over_days_offered([(day.loaded, day.sold) for day in days]) == Fraction("39.25")
    assert (days[2].sold, days[2].closes, days[2].is_at_least) == (22, at(11), False)


@pytest.mark.case("M03")
def test_a_restock_keeps_the_first_time_it_ran_out():
    """paperpot.co, urban farmer podcast 28 notes (seen); 30 at 8:00, none left 9:30, +20 at 10:15, 6 left at 13:00."""
    line = a_line()
    loaded(line, "50")
    sold_out(saying=saying("out"), line=line, minute=at(9, 30))
    restock(saying=saying("more"), line=line, typed="20", minute=at(10, 15))
    back(line, home=6)
    found = known(line)
    assert (found.sold, found.balance.share_sold, found.balance.out_minutes) == (44, Fraction(88, 100), 45)
    assert round(float(found.even_rate), 1) == 51.8
    assert (found.out_at, found.amount("restocked")) == ([at(9, 30)], 20)


@pytest.mark.case("M04")
@pytest.mark.parametrize(("donated", "unaccounted"), [(8, 0), (6, 2)])
def test_what_does_not_add_up_is_shown_and_not_forced(donated, unaccounted):
    """Paper sheet "To Mkt / From Mkt / Total sold"; 5280artisanfarm.com (seen); 60 = 47 + 8 + 3 + 2, then 6."""
    line = a_line()
    loaded(line, "60")
    tally(saying=saying("tally"), line=line, typed="47")
    back(line, donated=donated, home=3, compost=2)
    found = known(line).balance
    assert (found.on_table, found.sold_by_tally, sum(known(line).came_back.values())) == (60, 47, donated + 5)
    assert found.unaccounted == unaccounted


@pytest.mark.case("M05")
def test_what_was_taken_stays_when_the_usual_price_rises():
    """readersdigest.ca, 13 things about farmers markets (seen); 31 at $4 until 11:00, then 14 at 2 for $5."""
    basil = an_item(cents=400)
    line = a_line(basil)
    loaded(line, "45")
    price_from_now(saying=saying("price"), line=line, typed="2 for 5", minute=at(11), sold_so_far="31")
    back(line, left=0)
    Price.objects.create(item=basil, price_cents=450, from_on=date(2026, 6, 1))
    found = known(line)
    assert (found.sold, found.takings.low, found.takings.high, found.mean_price_cents) == (45, 15900, 15900, 353)
    assert a_line(basil, held_on=date(2026, 6, 6)).price_cents == 450


def test_what_was_sold_at_which_price_nobody_knows_is_a_range():
    line = a_line(an_item(cents=400))
    loaded(line, "45")
    price_from_now(saying=saying("price"), line=line, typed="2 for 5", minute=at(11))
    back(line, left=0)
    found = known(line)
    assert (found.takings.low, found.takings.high, found.mean_price_cents) == (11250, 18000, None)


@pytest.mark.case("M07")
def test_two_sellers_and_a_board_half_rubbed_off():
    """mofga.org, Footprint Farm record-keeping (seen); 18 and 15 tallied, 40 brought, 4 left; 25 of 25, no time."""
    line, other = a_line(), a_line(an_item("chard"))
    loaded(line, "40"), loaded(other, "25")
    tally(saying=saying("one"), line=line, typed="18")
    tally(saying=saying("two"), line=line, typed="15")
    back(line, home=4)
    back(other, left=0, said={"is_from_memory": True})
    found, unknown = known(line), known(other)
    assert (found.balance.sold_by_count, found.balance.sold_by_tally, found.balance.not_tallied) == (36, 33, 3)
    assert (unknown.sold, unknown.is_at_least, unknown.even_rate, unknown.out_at) == (25, True, None, [])
    assert (found.is_from_memory, unknown.is_from_memory) == (False, True)


@pytest.mark.case("H09")
@pytest.mark.parametrize(("pounds", "cents", "taken"), [("0.345", 999, 345), ("1.25", 250, 313), ("0.35", 450, 158)])
def test_a_line_is_rounded_half_up_once(pounds, cents, taken):
    """django #11756, NYUFRE #75 (seen): 0.345 x 9.99, 1.25 x 2.50, 0.35 x 4.50."""
    line = a_line(an_item("basil leaves", "lb", cents))
    tally(saying=saying("tally"), line=line, typed=pounds)
    type(line).objects.update(price_cents=cents)
    assert known(line).takings.low == taken


@pytest.mark.case("H09")
def test_ten_tenths_are_one_pound_and_lines_add_to_their_total():
    """textql #40 (seen): ten x 0.1 lb is 1.0 lb; 10.01 + 20 is 30.01."""
    leaves = a_line(an_item("basil leaves", "lb"))
    for number in range(10):
        tally(saying=saying(f"tally {number}"), line=leaves, typed="0.1")
    assert known(leaves).balance.sold_by_tally == lb(1)
    type(leaves).objects.filter(pk=leaves.pk).update(price_cents=1001)
    heads = a_line(an_item("lettuce head", "head"))
    tally(saying=saying("heads"), line=heads, typed="5")
    assert sum(line.takings.low for line in known_lines(leaves.market_day)) == 3001


@pytest.mark.parametrize("rows", [3, 300])
def test_two_questions_however_long_the_list(rows, django_assert_num_queries):
    line = many_lines(rows)
    with django_assert_num_queries(2):
        assert len(known_lines(line.market_day)) == rows
