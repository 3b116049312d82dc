"""What lies in the cold room goes out before anything is cut for it."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.planning.horizon import Products
from farmops.planning.picking_stock import Stock, from_stock
from farmops.planning.rows import FarmRows, Item, Outlet
from farmops.planning.wants import Want

TUESDAY = date(2026, 5, 5)
DAY = timedelta(days=1)
ROWS = FarmRows(
    items=(Item(item="bag", unit="bag", keeps_days=5), Item(item="mix", unit="lb", keeps_days=3)),
    outlets=(
        Outlet(outlet="Inn", kind="buyer", weekday=1, turn=2),
        Outlet(outlet="Cook", kind="buyer", weekday=1, turn=1),
        Outlet(outlet="Quay", kind="market", weekday=5),
    ),
)
PRODUCTS = Products({}, {"bag": (("basil", 0.25),), "mix": (("basil", 0.2), ("mizuna", 0.8))}, {}, ())
SHARES = {"basil": Decimal("0.9"), "mizuna": Decimal("0.8")}


def want(amount, outlet="Inn", item="bag", day=TUESDAY, kind="buyer"):
    return Want(day, outlet, kind, item, Decimal(amount))


def packed(amount, days_old=1, name="bag", lot="A"):
    return Stock(name, True, Decimal(amount), TUESDAY - days_old * DAY, lot)


def as_cut(amount, days_old=1, name="basil", lot="B"):
    return Stock(name, False, Decimal(amount), TUESDAY - days_old * DAY, lot)


def taken(found):
    return [(one.stock.lot, one.amount) for one in found]


def test_promises_come_before_markets_and_in_the_farms_order():
    wants = [want(10, "Quay", kind="market"), want(6, "Inn"), want(6, "Cook"), want(5, "Inn", day=TUESDAY + DAY)]
    found = from_stock(ROWS, PRODUCTS, wants, [packed(14)], SHARES)
    assert (found.got, taken(found.packed)) == ((0, 6, 6, 2), [("A", 14)])


def test_the_oldest_goes_first_while_it_keeps():
    wants = [want(6), want(6, day=TUESDAY + 3 * DAY)]
    stock = [packed(4, 1, lot="new"), packed(9, 4, lot="old"), packed(5, 6, lot="too old")]
    found = from_stock(ROWS, PRODUCTS, wants, stock, SHARES)
    # Four days old of five, it keeps for tomorrow and not for Friday: 6 of 9; the fresh one does for Friday.
    assert (found.got, taken(found.packed)) == ((6, 4), [("old", 6), ("new", 4)])


def test_what_lies_there_as_cut_is_taken_for_what_is_made_of_it():
    # 9 bags of 0.25 lb and 10 lb of a mix of a fifth: 2.25 + 2 lb packed are 4.25 / 0.9 lb as cut.
    wants = [want(9), want(10, item="mix")]
    found = from_stock(ROWS, PRODUCTS, wants, [as_cut(3, 2, lot="old"), as_cut(3, 1, lot="new")], SHARES)
    asked = Decimal("4.25") / Decimal("0.9")
    assert {name: taken(lots) for name, lots in found.as_cut.items()} == {"basil": [("old", 3), ("new", asked - 3)]}
    # Four days old it is too old for the mix, and good for the bags.
    found = from_stock(ROWS, PRODUCTS, wants, [as_cut(9, 4)], SHARES)
    assert taken(found.as_cut["basil"]) == [("B", Decimal("2.25") / Decimal("0.9"))]


def test_what_is_packed_needs_nothing_cut_for_it():
    found = from_stock(ROWS, PRODUCTS, [want(4)], [packed(4), as_cut(9), as_cut(9, name="dill")], SHARES)
    assert (found.got, found.as_cut) == ((4,), {})


@given(
    wants=st.lists(st.builds(want, st.integers(0, 30), st.sampled_from(["Inn", "Cook"])), max_size=5),
    stock=st.lists(st.builds(packed, st.integers(1, 30), st.integers(0, 8)), max_size=5),
)
def test_no_more_is_taken_than_lies_there_or_is_wanted(wants, stock):
    found = from_stock(ROWS, PRODUCTS, wants, stock, SHARES)
    assert sum(found.got) == sum(one.amount for one in found.packed)
    assert all(got <= one.amount for got, one in zip(found.got, wants, strict=True))
    assert all(one.amount <= one.stock.amount for one in found.packed)
    assert sum(found.got) <= min(sum(one.amount for one in stock), sum(one.amount for one in wants))


@pytest.mark.parametrize("days", [0, 5])
def test_on_its_last_day_it_is_still_good(days):
    assert from_stock(ROWS, PRODUCTS, [want(1)], [packed(1, days)], SHARES).got == (1,)
