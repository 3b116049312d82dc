"""What a market line says, against the cases' own numbers."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.market_day import (
    BACK_SOMETIME,
    Counted,
    Line,
    PriceFrom,
    PriceSpell,
    balance,
    empty_spells,
    even_rate_guess,
    mean_over_days_offered,
    mean_price_cents,
    odd_counts,
    takings_by_price,
    takings_cents,
)

EIGHT, ONE = 480, 780


@pytest.mark.case("M01")
def test_sold_out_is_a_floor_and_even_customers_an_upper_guess():
    # tinyfarmblog.com, glenvalleyorganicfarm.blogspot.com (seen); the digits are ours.
    days = [
        Line(EIGHT, ONE, brought=48, empty=((700, None),)),
        Line(EIGHT, ONE, brought=55, empty=((770, None),)),
        Line(EIGHT, ONE, brought=60, left=(8,)),
    ]
    found = [balance(day) for day in days]
    assert [(one.sold_by_count, one.is_floor) for one in found] == [
        (48, True),
        (55, True),
        (52, False),
    ]
    assert [round(float(even_rate_guess(day)), 1) for day in days] == [65.5, 56.9, 52.0]


@pytest.mark.case("M03")
def test_a_restock_keeps_the_first_time_it_ran_out():
    # paperpot.co, urban farmer podcast 28 notes (seen); the digits are ours. 30 at 8:00, +20 at 10:15.
    line = Line(EIGHT, ONE, brought=50, left=(6,), empty=((570, 615),))
    found = balance(line)
    assert (found.sold_by_count, found.share_sold, found.out_minutes) == (44, Fraction(88, 100), 45)
    assert round(float(even_rate_guess(line)), 1) == 51.8


@pytest.mark.case("M04")
@pytest.mark.parametrize(("donated", "unaccounted"), [(8, 0), (6, 2)])
def test_what_does_not_add_up_is_shown_and_not_forced(donated, unaccounted):
    # Paper sheet "To Mkt / From Mkt / Total sold"; 5280artisanfarm.com (seen); the digits are ours.
    found = balance(Line(EIGHT, ONE, brought=60, left=(3, donated, 2), tallied=(47,)))
    assert (found.sold_by_tally, found.sold_by_count, found.unaccounted) == (47, 47 + unaccounted, unaccounted)


@pytest.mark.case("M05")
def test_prices_of_the_day_stay_the_days():
    # readersdigest.ca, 13 things about farmers markets (seen); the digits are ours.
    spells = [PriceSpell(31, 400), PriceSpell(14, 500, 2)]
    assert (takings_cents(spells), mean_price_cents(spells), odd_counts(spells)) == (15900, 353, [])
    odd = [PriceSpell(15, 500, 2)]
    assert (takings_cents(odd), odd_counts(odd)) == (3750, [0])


@pytest.mark.case("M07")
def test_two_sellers_and_a_board_half_rubbed_off():
    # mofga.org, Footprint Farm record-keeping (seen); the digits are ours.
    found = balance(Line(EIGHT, ONE, brought=40, left=(4,), tallied=(18, 15)))
    assert (found.sold_by_count, found.sold_by_tally, found.not_tallied) == (36, 33, 3)


@pytest.mark.case("M07")
def test_a_time_not_known_is_a_floor_without_a_guess():
    line = Line(EIGHT, ONE, brought=25, empty=((None, None),))
    found = balance(line)
    assert (found.sold_by_count, found.is_floor, found.out_minutes, even_rate_guess(line)) == (25, True, None, None)


def test_unknown_none_and_sold_out_are_three_states():
    unknown, none_back, out = (
        balance(Line(EIGHT, ONE, brought=40, **facts)) for facts in ({}, {"left": (0,)}, {"empty": ((None, None),)})
    )
    assert [(one.sold_by_count, one.is_floor) for one in (unknown, none_back, out)] == [
        (None, False),
        (40, False),
        (40, True),
    ]


def test_a_tally_stands_alone_where_nobody_knows_what_is_left():
    found = balance(Line(EIGHT, ONE, brought=40, tallied=(18,)))
    assert (found.sold_by_count, found.sold_by_tally, found.share_sold) == (None, 18, Fraction(18, 40))
    assert (found.not_tallied, found.unaccounted) == (None, None)


@given(
    brought=st.integers(0, 500),
    left=st.lists(st.integers(0, 200), min_size=1, max_size=4),
    tallied=st.lists(st.integers(0, 200), min_size=1, max_size=3),
)
def test_everything_on_the_table_is_sold_left_or_unaccounted(brought, left, tallied):
    found = balance(Line(EIGHT, ONE, brought=brought, left=tuple(left), tallied=tuple(tallied)))
    assert sum(tallied) + sum(left) + found.unaccounted == brought
    assert found.not_tallied == found.unaccounted


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (Line(ONE, EIGHT), "a market closes after it opens, got 780 to 480"),
        (Line(EIGHT, ONE, brought=-1), "counts must be 0 or more"),
        (Line(EIGHT, ONE, brought=4, empty=((600, 590),)), "a table is back after it was empty, got 600 to 590"),
    ],
)
def test_what_cannot_be_is_refused(line, words):
    with pytest.raises(ValueError, match=words):
        balance(line)


FOUR, TWO_FOR_FIVE = PriceFrom(None, 400), PriceFrom(660, 500, 2)


@pytest.mark.parametrize(
    ("sold", "counted", "prices", "low", "high"),
    [
        pytest.param(45, [Counted(31, 660)], [FOUR, TWO_FOR_FIVE], 15900, 15900, id="31 until the change, 14 after"),
        pytest.param(45, [Counted(31, 660), Counted(14)], [FOUR, TWO_FOR_FIVE], 15900, 15900, id="both counted"),
        pytest.param(45, [Counted(31, 660), Counted(14, 780)], [TWO_FOR_FIVE, FOUR], 15900, 15900, id="any order"),
        pytest.param(45, [], [FOUR, TWO_FOR_FIVE], 11250, 18000, id="nobody counted"),
        pytest.param(45, [Counted(20, 600)], [FOUR, TWO_FOR_FIVE], 8000 + 6250, 8000 + 10000, id="counted too early"),
        pytest.param(36, [Counted(18), Counted(15)], [FOUR], 14400, 14400, id="one price"),
        pytest.param(30, [Counted(33)], [FOUR], 13200, 13200, id="more counted than there was"),
        pytest.param(0, [], [FOUR], 0, 0, id="nothing sold"),
    ],
)
def test_what_was_taken_at_the_prices_of_the_day(sold, counted, prices, low, high):
    # By hand from the case of two prices on one day (31 x 4.00 + 14 x 2.50 = 159.00).
    found = takings_by_price(sold, counted, prices)
    assert (found.low, found.high) == (low, high)


def test_without_a_price_nothing_is_known_to_be_taken():
    assert takings_by_price(45, [], []) is None


@pytest.mark.case("H09")
@pytest.mark.parametrize(("thousandths", "cents", "taken"), [(345, 999, 345), (1250, 250, 313), (350, 450, 158)])
def test_weights_are_charged_half_up(thousandths, cents, taken):
    # django #11756, NYUFRE #75 (seen): 0.345 x 9.99, 1.25 x 2.50, 0.35 x 4.50; here in thousandths of a pound.
    assert takings_by_price(thousandths, [], [PriceFrom(None, cents)], per_unit=1000).low == taken


@pytest.mark.parametrize(
    ("events", "spells"),
    [
        ([], ()),
        ([(True, 570), (False, 615)], ((570, 615),)),
        ([(False, 615), (True, 570)], ((570, 615),)),
        ([(True, 570), (True, 580)], ((570, None),)),
        ([(True, None)], ((None, None),)),
        ([(True, 570), (False, None), (True, 700)], ((None, BACK_SOMETIME), (700, None))),
        ([(False, 500)], ()),
        ([(True, 570), (False, 570)], ((570, 570),)),
    ],
)
def test_spells_of_an_empty_table(events, spells):
    assert empty_spells(events) == spells


def test_a_table_filled_at_a_time_nobody_noted_did_not_end_empty():
    found = balance(Line(EIGHT, ONE, brought=40, empty=((None, BACK_SOMETIME),)))
    assert (found.sold_by_count, found.is_floor, found.out_minutes) == (None, True, None)


@pytest.mark.case("M02")
def test_a_day_without_the_item_counts_for_nothing():
    # agrariangrrl.blogspot.com 2009/06 (seen): 40 of 40, none brought, 36 of 40.
    assert mean_over_days_offered([(40, 40), (0, 0), (40, 36), (None, None)]) == 38
    assert mean_over_days_offered([(0, None)]) is None
