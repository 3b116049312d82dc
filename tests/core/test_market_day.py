"""One item on one market day, with the numbers of growers' own accounts."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.market_day import (
    Event,
    LineRecord,
    PriceFrom,
    TableEvent,
    Tally,
    balance_of,
    even_rate_stretch,
    in_order,
    mean_price,
    mean_sold,
    sell_through,
    takings_of,
)

EIGHT, ONE = 8 * 60, 13 * 60


def line(brought, **known):
    return LineRecord(EIGHT, ONE, brought, **known)


def out(minute):
    return TableEvent(Event.OUT, minute)


@pytest.mark.case("M01")
def test_three_saturdays_of_which_two_sold_out():
    # tinyfarmblog.com "finally a field harvest", glenvalleyorganicfarm.blogspot.com 2011/06; the numbers are ours.
    first = balance_of(line(48, events=(out(11 * 60 + 40),)))
    second = balance_of(line(55, events=(out(12 * 60 + 50),)))
    third = balance_of(line(60, came_back={"home": 8}))
    assert [(day.sold, day.is_floor, day.out_minutes) for day in (first, second, third)] == [
        (48, True, 80),
        (55, True, 10),
        (52, False, 0),
    ]
    stretched = [even_rate_stretch(day.sold, 300, day.out_minutes) for day in (first, second, third)]
    assert [round(amount, 1) for amount in stretched] == [Decimal("65.5"), Decimal("56.9"), Decimal(52)]
    assert round(sum(stretched) / 3, 1) == Decimal("58.1")
    assert round(mean_sold((day.offered, day.sold) for day in (first, second, third)), 1) == Decimal("51.7")


@pytest.mark.case("M02")
def test_a_day_without_the_item_is_not_a_day_without_customers():
    # agrariangrrl.blogspot.com 2009/06, tinyfarmblog.com "rainy day market"; the numbers are ours.
    assert mean_sold([(40, 40), (0, 0), (40, 36)]) == 38
    saturdays = [(50, 44), (50, 46), (50, 22), (50, 45)]
    assert mean_sold(day for day in saturdays if day[1] != 22) == 45
    assert mean_sold(saturdays) == Decimal("39.25")
    assert mean_sold([(0, 0), (None, 4), (8, None)]) is None


@pytest.mark.case("M03")
def test_restocked_in_the_middle():
    # paperpot.co urban farmer podcast 28, notes: prepare more during the market.
    events = (out(9 * 60 + 30), TableEvent(Event.RESTOCKED, 10 * 60 + 15))
    day = balance_of(line(50, events=events, came_back={"home": 6}))
    assert (day.sold, sell_through(day), day.out_minutes, day.out_at) == (44, Decimal("0.88"), 45, (570,))
    assert round(even_rate_stretch(day.sold, 300, day.out_minutes), 1) == Decimal("51.8")
    assert day.is_floor
    assert not day.is_empty


@pytest.mark.case("M04")
def test_leftovers_are_shown_and_not_forced():
    # vdocument.in "recordkeeping for farm and business" (to market, from market, total sold); the numbers are ours.
    whole = balance_of(line(60, tallies=(Tally(47),), came_back={"donated": 8, "home": 3, "compost": 2}))
    assert (whole.by_count, whole.by_tally, whole.unaccounted) == (47, 47, 0)
    short = balance_of(line(60, tallies=(Tally(47),), came_back={"donated": 6, "home": 3, "compost": 2}))
    assert (short.sold, short.unaccounted, short.came_back) == (47, 2, 11)


@pytest.mark.case("M05")
def test_the_price_changed_at_eleven():
    # readersdigest.ca, 13 things about farmers markets (bargains at the end of the day); the numbers are ours.
    prices = (PriceFrom(None, 400), PriceFrom(660, 500, 2))
    taken = takings_of((Tally(31, 660), Tally(14)), 45, prices)
    assert (taken.low, taken.high, taken.sold, taken.odd) == (15900, 15900, 45, ())
    assert round(mean_price(taken)) == 353
    odd = takings_of((Tally(15),), 15, (PriceFrom(None, 500, 2),))
    assert (odd.low, odd.odd) == (3750, ((15, PriceFrom(None, 500, 2)),))


def test_what_no_tally_covers_took_something_between_the_prices():
    taken = takings_of((), 45, (PriceFrom(None, 400), PriceFrom(660, 500, 2)))
    assert (taken.low, taken.high) == (11250, 18000)
    assert mean_price(taken) is None
    assert takings_of((), 45, ()) is None


def test_pounds_are_charged_by_the_pound():
    pound = 453_592_370_000
    taken = takings_of((), 345 * pound // 1000, (PriceFrom(None, 999),), pound)
    assert taken.low == 345  # 0.345 lb at $9.99
    assert mean_price(taken, pound) == pytest.approx(Decimal(1000), abs=1)


@pytest.mark.case("M07")
def test_two_sellers_and_a_board_that_was_wiped():
    # mofga.org, Footprint Farm (the board is wiped before it is home); the numbers are ours.
    day = balance_of(line(40, tallies=(Tally(18), Tally(15)), came_back={"left": 4}))
    assert (day.by_count, day.by_tally, day.unaccounted) == (36, 33, 3)
    other = balance_of(line(25, events=(out(None),)))
    assert (other.sold, other.is_floor, other.out_minutes, other.out_at) == (25, True, None, (None,))
    untold = balance_of(line(25, came_back={"left": 0}))
    assert (untold.sold, untold.is_floor, untold.out_minutes, untold.out_at) == (25, True, None, ())


def test_unknown_is_not_none():
    unknown, none = balance_of(line(30)), balance_of(line(30, came_back={"left": 0}))
    assert (unknown.sold, unknown.came_back, unknown.is_floor) == (None, None, False)
    assert (none.sold, none.came_back, none.is_floor) == (30, 0, True)
    assert balance_of(line(None, tallies=(Tally(7),))).sold == 7
    brought_none = balance_of(line(0, came_back={"left": 0}))
    assert (brought_none.sold, brought_none.is_floor) == (0, False)
    assert sell_through(unknown) is None
    assert sell_through(brought_none) is None


def test_more_tallied_than_there_was_is_shown():
    assert balance_of(line(10, tallies=(Tally(12),), came_back={"left": 0})).unaccounted == -2


def test_a_time_said_late_takes_its_place():
    late = (TableEvent(Event.RESTOCKED, 615), out(570))
    assert in_order(late) == [out(570), TableEvent(Event.RESTOCKED, 615)]
    unknown = (out(570), TableEvent(Event.BACK, 600), out(None))
    assert in_order(unknown) == list(unknown)
    assert balance_of(line(20, events=unknown)).out_minutes is None


def test_twice_out_without_a_restock_counts_from_the_first():
    assert balance_of(line(20, events=(out(700), out(720)))).out_minutes == 80


def test_out_before_the_opening_or_all_day_long():
    assert balance_of(line(20, events=(out(400),))).out_minutes == 300
    with pytest.raises(ValueError, match="out 300 of 300"):
        even_rate_stretch(20, 300, 300)


@given(
    brought=st.integers(0, 500),
    carried=st.integers(0, 50),
    tallies=st.lists(st.integers(0, 300), max_size=4),
    back=st.dictionaries(st.sampled_from(["home", "donated", "compost", "left"]), st.integers(0, 200), min_size=1),
)
def test_every_line_adds_up(brought, carried, tallies, back):
    day = balance_of(line(brought, carried_in=carried, tallies=[Tally(amount) for amount in tallies], came_back=back))
    assert brought + carried == day.sold + sum(back.values()) + (day.unaccounted or 0)
