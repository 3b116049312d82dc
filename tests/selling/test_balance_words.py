"""What a line adds up to, as a sum to read."""

import pytest

from farmops.selling.at_stall import price_from_now, sold_out, tally
from farmops.selling.balance_words import balance_in_words, takings_in_words
from farmops.selling.restock import restock
from tests.selling.market import a_line, an_item, at, back, known, lb, loaded, saying

pytestmark = pytest.mark.django_db


def said(line):
    return balance_in_words(known(line))


def test_unknown_none_and_so_much_read_apart():
    line, none, silent = a_line(), a_line(an_item("dill")), a_line(an_item("chard"))
    loaded(line, "40"), loaded(none, "0")
    assert said(line) == ["40 brought; what came back is not known"]
    assert said(none) == ["none brought"]
    assert said(silent) == ["what was brought is not known"]
    back(line, left=0)
    assert said(line) == ["40 brought = 40 sold", "at least 40 wanted; when it ran out is not known"]


def test_what_came_back_of_an_unknown_load_is_said_all_the_same():
    line = a_line()
    back(line, home=3)
    tally(saying=saying("tally"), line=line, typed="18")
    assert said(line) == ["what was brought is not known", "3 taken home", "18 sold, as counted"]


def test_two_sellers_count_less_than_is_gone_and_both_are_kept():
    line = a_line()
    loaded(line, "40")
    tally(saying=saying("one"), line=line, typed="18")
    tally(saying=saying("two"), line=line, typed="15")
    back(line, home=4)
    assert said(line) == [
        "40 brought = 33 sold, as counted + 4 taken home + 3 unaccounted",
        "sold by count 36, as counted 33; both are kept",
    ]


def test_more_counted_than_was_there_is_shown():
    line = a_line()
    loaded(line, "30")
    tally(saying=saying("one"), line=line, typed="33")
    back(line, left=0)
    assert said(line)[0] == "30 brought, but 33 sold, as counted: 3 more than there were"


def test_ran_out_and_restocked():
    line = a_line(an_item("spinach", "lb"))
    loaded(line, "50")
    sold_out(saying=saying("out"), line=line, minute=at(9, 30))
    restock(saying=saying("more"), line=line, typed="20", minute=at(10, 15))
    back(line, home=lb(6))
    assert said(line) == [
        "50 lb brought (20 lb of it put out later) = 44 sold + 6 taken home",
        "at least 44 lb wanted; ran out at 09:30",
        "the table stood empty for 45 minutes",
    ]


@pytest.mark.case("M05")
def test_what_it_took_with_its_mean_price():
    """readersdigest.ca, 13 things about farmers markets (seen): $159.00, mean $3.53; 15 at 2 for $5 is odd."""
    line, other = a_line(an_item(cents=400)), a_line(an_item("chard"))
    loaded(line, "45"), loaded(other, "45")
    price_from_now(saying=saying("price"), line=line, typed="2 for 5", minute=at(11), sold_so_far="31")
    back(line, left=0)
    assert takings_in_words(known(line)) == ["$159.00", "$3.53 each on the mean"]
    price_from_now(saying=saying("other"), line=other, typed="2 for 5", minute=at(11), sold_so_far="30")
    assert takings_in_words(known(other))[0] == "$120.00"
    back(other, left=0)
    assert takings_in_words(known(other)) == ["$157.50", "$3.50 each on the mean", "15 at 2 for $5.00: an odd number"]
