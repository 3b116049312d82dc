"""How an item went lately: never a bare figure where it ran out, rain apart."""

from datetime import timedelta
from fractions import Fraction

import pytest

from farmops.selling.at_stall import sold_out
from farmops.selling.call_off import call_off, say_weather
from farmops.selling.lately import lately
from tests.selling.market import NOON, SATURDAY, a_line, an_item, at, back, lb, loaded, saying, the_market

pytestmark = pytest.mark.django_db
BEFORE = SATURDAY + timedelta(weeks=9)


def held(week, brought, *, out=None, rain=False, item=None, **came_back):
    day, then = SATURDAY + timedelta(weeks=week), NOON + timedelta(weeks=week)
    line = a_line(item, held_on=day)
    about = {"day": day, "said_at": then, "now": then}
    loaded(line, brought)
    if out:
        sold_out(saying=saying(f"out {week}", **about), line=line, minute=out)
    if rain:
        say_weather(saying=saying(f"rain {week}", **about), market_day=line.market_day, weather="rain")
    if came_back:
        back(line, **came_back)
    return line


def words(item=None):
    return lately(the_market(), BEFORE)[(item or an_item()).pk].in_words


@pytest.mark.case("M01")
def test_two_of_three_sold_out_is_a_range():
    """tinyfarmblog.com, glenvalleyorganicfarm.blogspot.com 2011/06 (seen): 52-58, two of three sold out."""
    held(0, "48", out=at(11, 40)), held(1, "55", out=at(12, 50)), held(2, "60", compost=8)
    found = lately(the_market(), BEFORE)[an_item().pk]
    assert (round(float(found.sold), 1), round(float(found.stretched), 1)) == (51.7, 58.1)
    assert found.in_words == "lately 52–58 a day, sold out on 2 of 3 days"


@pytest.mark.case("M02")
def test_forgotten_days_are_no_days_and_rain_is_told_apart():
    """agrariangrrl.blogspot.com 2009/06, all-natural-mama 2011/07 (seen): 38.0; 45.0 without rain, 39.25 with."""
    cilantro, chard = an_item("cilantro"), an_item("chard")
    for week, (brought, came_back) in enumerate((("40", {"compost": 0}), ("0", {}), ("40", {"compost": 4}))):
        held(week, brought, item=cilantro, **came_back)
    for week, sold in enumerate((44, 46, 22, 45)):
        held(week + 3, "60", item=chard, rain=sold == 22, compost=60 - sold)
    found = lately(the_market(), BEFORE)
    assert found[cilantro.pk].sold == 38
    assert (found[chard.pk].dry, found[chard.pk].sold) == (45, Fraction("39.25"))
    assert words(chard) == "lately 39 a day, sold out on 0 of 4 days; 45 without rain"


@pytest.mark.case("M07")
def test_no_time_is_at_least_and_nothing_more():
    """mofga.org, Footprint Farm; milesawayfarmww.com (seen): 25 of 25 sold, time not known."""
    held(0, "25", left=0)
    assert words() == "lately at least 25 a day, sold out on 1 of 1 days"


def test_called_off_and_other_markets_do_not_count():
    held(0, "40", compost=4)
    off = a_line(held_on=SATURDAY + timedelta(weeks=1))
    loaded(off, "99")
    call_off(saying=saying("off"), market_day=off.market_day)
    assert words() == "lately 36 a day, sold out on 0 of 1 days"
    assert lately(the_market("Pond Street"), BEFORE) == {}


def test_weights_read_to_a_tenth_and_nothing_known_says_nothing():
    spinach = an_item("spinach", "lb")
    held(0, "10", item=spinach, compost=lb("2.5"))
    a_line(an_item("dill"))
    assert (words(spinach), words(an_item("dill"))) == ("lately 7.5 a day, sold out on 0 of 1 days", "")
