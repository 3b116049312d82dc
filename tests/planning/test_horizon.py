"""Weeks of a plan, and what varieties become."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmops.core.coming import Coming, Taken
from farmops.core.growth import Need, Place
from farmops.core.schedule import Planting, Schedule, Stage, Way
from farmops.core.sizing import Leeway, Mix, Occupancy
from farmops.core.supply import outlook
from farmops.exchange.sheets.read import read_folder
from farmops.planning.horizon import Horizon, Target, horizon_from, products_of
from tests.exchange.sheets.small_farm import SMALL_FARM, write_farm

MONDAY = date(2026, 9, 7)


@pytest.mark.parametrize(
    ("as_of", "start"),
    [(MONDAY, MONDAY), (date(2026, 9, 9), MONDAY), (date(2026, 9, 11), MONDAY), (date(2026, 9, 6), MONDAY)],
)
def test_the_first_week_is_this_one_and_on_a_weekend_the_next(as_of, start):
    assert horizon_from(as_of).start == start
    assert horizon_from(as_of).sowing_day(0) == max(as_of, start)
    assert horizon_from(as_of).sowing_day(1) == start + timedelta(days=7)


def test_moving_is_on_mondays():
    weeks = Horizon(MONDAY, MONDAY, 4)
    days = [MONDAY - timedelta(days=3), MONDAY, MONDAY + timedelta(days=1), MONDAY + timedelta(days=7)]
    assert [weeks.from_week(day) for day in days] == [0, 0, 1, 1]
    assert weeks.occupied(Taken("channel", 12, date(2026, 8, 1), date(2026, 9, 15))) == [
        Occupancy("channel", 0, 12),
        Occupancy("channel", 1, 12),
    ]
    assert weeks.occupied(Taken("channel", 12, date(2026, 9, 15), date(2026, 12, 1))) == [
        Occupancy("channel", 2, 12),
        Occupancy("channel", 3, 12),
    ]


@pytest.mark.case("G10")
def test_heads_good_for_ten_days_do_not_wait_for_the_market_after_the_next():
    # goodsonsgardens.com agreement (closed weeks); our numbers: ready on 22 December, the next market on 2 January.
    ready, next_market = date(2026, 12, 22), date(2027, 1, 2)
    schedule = Schedule((Stage("bed", "bed", Need(21), 1.0, 1.0),), Way.HEAD, "head", 1.0, stands_days=10)
    planting = Planting("due", "heads", schedule, ready - timedelta(days=21), 60)
    (coming,) = outlook(planting, Place(42.4, dark_pace=1.0), date(2026, 12, 21)).coming
    assert (coming.first, coming.last, coming.amount) == (ready, date(2026, 12, 31), 60)
    weeks = horizon_from(date(2026, 12, 21), 4)
    assert (weeks.good_weeks(coming), weeks.week(next_market)) == ((0, 0), 1)


@pytest.mark.parametrize(
    ("first", "stands", "expected"),
    [
        (date(2026, 9, 7), 7, (0, 0)),
        (date(2026, 9, 7), 14, (0, 1)),
        (date(2026, 9, 8), 14, (1, 1)),  # good until 21 September, a Monday: the week of the 21st is not counted
        (date(2026, 9, 9), 3, (0, 0)),  # over before the next Monday
        (date(2026, 9, 12), 7, (1, 1)),
        (date(2026, 9, 8), 10, (0, 0)),  # good until Thursday of the next week: for this Saturday
        (date(2026, 9, 10), 10, (1, 1)),  # good until Saturday of the next week
    ],
)
def test_heads_are_counted_on_in_whole_weeks(first, stands, expected):
    coming = Coming(1, first, first + timedelta(days=stands - 1), 10, 10)
    assert Horizon(MONDAY, MONDAY, 8).good_weeks(coming) == expected


def test_heads_over_before_the_first_week_are_not_counted_on():
    coming = Coming(1, date(2026, 9, 1), date(2026, 9, 6), 10, 10)
    assert Horizon(date(2026, 9, 6), MONDAY, 8).good_weeks(coming) is None


@given(st.integers(0, 60), st.integers(1, 30), st.integers(-6, 0))
def test_good_weeks_touch_the_days_it_is_good(start, stands, offset):
    first = MONDAY + timedelta(days=start)
    horizon = Horizon(MONDAY + timedelta(days=max(offset, -1)), MONDAY, 20)
    ready, last = horizon.good_weeks(Coming(1, first, first + timedelta(days=stands - 1), 1, 1))
    assert 0 <= ready <= last
    assert horizon.monday(ready) <= first + timedelta(days=stands - 1)
    assert horizon.monday(last) <= first + timedelta(days=stands - 1)


def test_a_variety_in_one_item_is_that_item_and_in_two_a_part(tmp_path):
    rows = read_folder(
        write_farm(
            tmp_path,
            items=SMALL_FARM["items"].replace("cutting_cost", "cutting_cost,contains,contains_unit")
            + "salad bag,bag,1,salad,5,0.60,150,g\n",
            item_parts="""
                item,variety,share
                butterhead,green butterhead,100
                mizuna bag,mizuna,100
                kale,curly kale,100
                salad bag,mizuna,60
                salad bag,curly kale,40
                """,
        )
    )
    products = products_of(rows)
    bag = float(Decimal(150) / Decimal("453.59237"))
    assert products.targets["green butterhead"] == Target("butterhead", 1.0)
    assert products.targets["mizuna"] == Target("mizuna (for mixes)", 0.9)
    assert products.mixes == (
        Mix("mizuna bag", (("mizuna (for mixes)", 1.0),)),
        Mix("kale", (("curly kale (for mixes)", 1.0),)),
        Mix(
            "salad bag",
            (
                ("mizuna (for mixes)", pytest.approx(0.6 * bag)),
                ("curly kale (for mixes)", pytest.approx(0.4 * bag)),
            ),
        ),
    )
    grown = tuple(part for part in rows.item_parts if part.item != "salad bag")
    assert "salad bag" not in products_of(replace(rows, item_parts=grown)).items


def test_a_mix_may_change_as_far_as_its_limits_say(tmp_path):
    parts = """
        item,variety,share,at_least,at_most
        mizuna bag,mizuna,60,0,80
        mizuna bag,curly kale,40,,70
        butterhead,green butterhead,100,,
        kale,curly kale,100,,
        """
    mixes = products_of(read_folder(write_farm(tmp_path, item_parts=parts))).mixes
    mix = next(mix for mix in mixes if mix.item == "mizuna bag")
    assert mix.leeway == (
        Leeway("mizuna (for mixes)", 1.0, pytest.approx(0.6), pytest.approx(0.2)),
        Leeway("curly kale (for mixes)", 1.0, 0.0, pytest.approx(0.3)),
    )
