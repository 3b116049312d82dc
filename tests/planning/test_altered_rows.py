"""One thing otherwise, and nothing else."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.planning.altered_rows import BoxesMore, MarketMore, OutOfUse, PriceChanged, altered
from farmops.planning.rows import BoxCount, FarmRows, Outlet, Price, Space
from farmops.planning.wants import market_dates, price_of

MONDAY = date(2026, 5, 4)
QUAY = Outlet(outlet="Quay", kind="market", weekday=5)
BOX = BoxCount(
    box="box", week=MONDAY, last_week=date(2026, 6, 1), size="full", boxes=20, item="leaf", amount=Decimal(2)
)
ROWS = FarmRows(
    outlets=(QUAY, Outlet(outlet="Inn", kind="buyer", weekday=1)),
    box_counts=(BOX,),
    spaces=(Space(space="N-1", kind="channel", places=18), Space(space="N-2", kind="channel", places=18)),
    prices=(
        Price(item="leaf", price=Decimal(3)),
        Price(item="leaf", outlet="Quay", from_day=date(2026, 6, 1), price=Decimal(4)),
        Price(item="head", price=Decimal(2)),
    ),
)


def test_a_market_more_is_held_on_its_weekday_between_its_days():
    then = altered(ROWS, MarketMore("Quay", 2, MONDAY, date(2026, 5, 17)))
    days = [one.day for one in market_dates(then, MONDAY, date(2026, 5, 25))]
    assert days == [date(2026, 5, 6), date(2026, 5, 9), date(2026, 5, 13), date(2026, 5, 16), date(2026, 5, 23)]


@pytest.mark.parametrize(
    ("first", "last", "more", "counts"),
    [
        pytest.param(date(2026, 5, 13), date(2026, 5, 20), 10, [(4, 4, 20), (11, 18, 30), (25, 1, 20)], id="between"),
        pytest.param(date(2026, 5, 1), None, -25, [(4, 1, 0)], id="never below none"),
        pytest.param(date(2026, 6, 9), None, 10, [(4, 1, 20)], id="after its end"),
    ],
)
def test_boxes_more_in_the_weeks_asked_for(first, last, more, counts):
    then = altered(ROWS, BoxesMore("box", "full", more, first, last)).box_counts
    assert [(one.week.day, one.last_week.day, one.boxes) for one in then] == counts


def test_a_space_out_of_use_comes_back_the_day_after():
    then = altered(ROWS, OutOfUse("N-1", MONDAY, date(2026, 5, 10))).spaces
    assert [(one.space, one.from_day, one.to_day) for one in then] == [
        ("N-1", None, MONDAY),
        ("N-1", date(2026, 5, 11), None),
        ("N-2", None, None),
    ]


def test_a_price_goes_up_everywhere_and_later_prices_with_it():
    then = altered(ROWS, PriceChanged("leaf", 50, MONDAY))
    asked = [("Inn", date(2026, 5, 3)), ("Inn", MONDAY), ("Quay", date(2026, 5, 9)), ("Quay", date(2026, 6, 6))]
    assert [price_of(then, "leaf", *one) for one in asked] == [3, Decimal("4.5"), Decimal("4.5"), 6]
    assert price_of(then, "head", "Quay", MONDAY) == 2


@pytest.mark.parametrize(
    "change",
    [
        MarketMore("Nowhere", 2, MONDAY, None),
        BoxesMore("box", "half", 1, MONDAY, None),
        OutOfUse("N-9", MONDAY, None),
        PriceChanged("stone", 5, MONDAY),
    ],
)
def test_what_nobody_knows_is_refused(change):
    with pytest.raises(ValueError, match=r"there (is|are) no "):
        altered(ROWS, change)
