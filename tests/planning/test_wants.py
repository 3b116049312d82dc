"""Wants by day: orders, boxes, market days, prices, and what past market days tell."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.exchange.sheets.read import read_folder
from farmops.planning.rows import FarmRows, FaultsFound, MarketDay
from farmops.planning.wants import is_closed, market_dates, market_records, price_of, promises
from tests.exchange.sheets.small_farm import write_farm

JUNE, JULY = date(2026, 6, 1), date(2026, 7, 1)


def rows_of(folder, **sheets):
    return read_folder(write_farm(folder, **sheets))


def test_orders_by_week_boxes_by_size_and_prices_by_outlet(tmp_path):
    rows = rows_of(
        tmp_path,
        standing_orders="""
            buyer,item,weekday,amount,first_day,last_day,every_weeks,failing_costs
            Inn,butterhead,fri,20,2026-06-05,2026-06-26,2,0.50
            """,
        box_counts="""
            box,week,last_week,size,boxes,item,amount,value
            Boxes,2026-W24,2026-W25,full,24,butterhead,2,
            Boxes,2026-W24,2026-W25,half,16,butterhead,1,2.50
            """,
    )
    assert [
        (want.day.isoformat(), want.kind, want.amount, want.price, want.failing_costs)
        for want in promises(rows, JUNE, JULY)
    ] == [
        ("2026-06-05", "buyer", 20, Decimal("2.40"), Decimal("0.50")),
        ("2026-06-11", "box", 48, Decimal("3.00"), Decimal("1.5")),
        ("2026-06-11", "box", 16, Decimal("2.50"), Decimal("1.25")),
        ("2026-06-18", "box", 48, Decimal("3.00"), Decimal("1.5")),
        ("2026-06-18", "box", 16, Decimal("2.50"), Decimal("1.25")),
        ("2026-06-19", "buyer", 20, Decimal("2.40"), Decimal("0.50")),
    ]


def test_the_price_of_a_day_is_the_latest_begun_by_then(tmp_path):
    prices = "item,outlet,from,price\nkale,,,6.00\nkale,,2026-06-10,7.00\nkale,Inn,2026-06-20,5.00\n"
    rows = rows_of(tmp_path, prices=prices)
    days = [date(2026, 6, 9), date(2026, 6, 10), date(2026, 6, 20)]
    assert [price_of(rows, "kale", "Inn", day) for day in days] == [6, 7, 5]
    with pytest.raises(FaultsFound, match="butterhead has no price at Inn on 2026-06-09"):
        price_of(rows, "butterhead", "Inn", days[0])


def test_a_closed_or_called_off_market_day_is_a_gap(tmp_path):
    heading = "date,market,opens,closes,item,unit,price,brought,left_over,status"
    rows = rows_of(
        tmp_path,
        farm="name,latitude,season_first_day,season_last_day\nLow Meadow,42.4,2026-05-09,2026-12-19\n",
        closed_days="first_day,last_day,outlet\n2026-06-13,,Saturday market\n",
        market_days=f"{heading}\n2026-06-20,Saturday market,08:00,13:00,kale,lb,6,,,called off\n",
    )
    assert [market.day for market in market_dates(rows, JUNE, JULY)] == [date(2026, 6, 6), date(2026, 6, 27)]
    assert market_dates(rows, date(2026, 12, 20), date(2027, 1, 4)) == []
    assert is_closed(rows, "Inn", date(2026, 5, 8))


def test_a_market_day_on_the_list_takes_place_on_another_weekday_too(tmp_path):
    heading = "date,market,opens,closes,item,unit,price,brought,left_over,status"
    day = "2026-06-{},Saturday market,08:00,13:00,kale,lb,6,,,planned"
    rows = rows_of(
        tmp_path,
        closed_days="first_day,last_day,outlet\n2026-06-24,,Saturday market\n",
        market_days="\n".join([heading, day.format(17), day.format(24)]) + "\n",
    )
    # 17 June is a Wednesday; so is the 24th, but closed.
    assert [market.day for market in market_dates(rows, JUNE, JULY) if market.day.weekday() != 5] == [date(2026, 6, 17)]


@pytest.mark.case("G10")
def test_the_saturday_after_christmas_is_a_gap_and_the_season_ends_on_its_last_day(tmp_path):
    # goodsonsgardens.com agreement (closed weeks); our numbers.
    closed = "first_day,last_day,outlet\n2026-12-26,,Saturday market\n"
    rows = rows_of(tmp_path, closed_days=closed)
    days = [market.day for market in market_dates(rows, date(2026, 12, 14), date(2027, 1, 5))]
    assert days == [date(2026, 12, 19), date(2027, 1, 2)]
    farm = "name,latitude,season_first_day,season_last_day\nLow Meadow,42.4,2026-05-09,2026-12-19\n"
    rows = rows_of(tmp_path, closed_days=closed, farm=farm)
    days = [market.day for market in market_dates(rows, date(2026, 1, 1), date(2027, 3, 1))]
    assert (days[0], days[-1], len(days)) == (date(2026, 5, 9), date(2026, 12, 19), 33)


def test_past_market_days_in_steps_and_other_units_converted_or_left_out(tmp_path):
    heading = "date,market,opens,closes,item,unit,price,brought,left_over,restocked,restocked_at,sold_out_at,sold"
    rows = rows_of(
        tmp_path,
        market_days=f"""
            {heading}
            2026-05-02,Saturday market,08:00,13:00,kale,lb,6.00,12,0,,,11:40,
            2026-05-09,Saturday market,08:00,13:00,kale,lb,6.00,12,,3,10:30,10:00,
            2026-05-16,Saturday market,08:00,13:00,kale,oz,0.40,160,32,,,,
            2026-05-23,Saturday market,08:00,13:00,kale,bunch,2.00,12,1,,,,
            2026-05-30,Saturday market,08:00,13:00,kale,lb,6.00,12,0,,,,
            2026-06-06,Saturday market,08:00,13:00,kale,lb,6.00,12,0,,,,
            """,
    )
    records, left_out = market_records(rows, date(2026, 5, 31))
    assert [(one.brought, one.left, one.ran_out, one.ran_out_at, one.restocks, one.price) for one in records] == [
        (48, 0, True, (700,), (), 1.5),
        (48, None, False, (600,), ((630, 12),), 1.5),
        (40, 8, False, (), (), pytest.approx(1.6)),
        (48, 0, True, (), (), 1.5),
    ]
    assert left_out == ["1 market days of kale counted in bunch are left out: it is sold in another unit now."]


def test_sales_counted_up_to_eleven_are_not_the_days_sales():
    day = {"date": date(2026, 5, 2), "market": "Quay", "opens": 480, "closes": 780, "item": "kale", "unit": "bunch"}
    part = MarketDay(**day, brought=Decimal(45), left_over=Decimal(0), sold=Decimal(31), counted=((660, Decimal(31)),))
    whole = MarketDay(**day, brought=Decimal(60), left_over=Decimal(11), sold=Decimal(47))
    unknown = MarketDay(**day, brought=Decimal(45), sold=Decimal(31), counted=((660, Decimal(31)),))
    records, _left_out = market_records(FarmRows(market_days=(part, whole, unknown)), date(2026, 5, 3))
    assert [record.sold for record in records] == [None, 47, 31]


def test_a_sell_out_before_the_market_opened_is_no_time_of_it_and_told():
    day = {"date": date(2026, 5, 2), "market": "Quay", "opens": 900, "closes": 1140, "item": "kale", "unit": "bunch"}
    unknown = MarketDay(**day, brought=Decimal(20), sold_out_at=(657,))
    none_back = MarketDay(**day, brought=Decimal(20), left_over=Decimal(0), sold_out_at=(657,))
    again = MarketDay(**day, brought=Decimal(20), sold_out_at=(657, 960))
    records, told = market_records(FarmRows(market_days=(unknown, none_back, again)), date(2026, 5, 3))
    assert [(record.ran_out, record.ran_out_at) for record in records] == [(False, ()), (True, ()), (True, (960,))]
    assert told == ["3 times at which something ran out lie before the market opened and are not counted."]
