"""Looking back at the farm's own market days."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from farmops.planning import rows
from farmops.planning.look_back import farm_economics, look_back
from farmops.planning.wants import market_records

TODAY = date(2026, 5, 4)
QUAY = rows.Outlet(outlet="Quay", kind="market", weekday=5)
BASIL = rows.Item(item="basil", unit="bunch", keeps_days=4)


def a_day(weeks=0, **other):
    """Brought 48, sold out at 11:40; so many weeks before 2 May."""
    held = date(2026, 5, 2) - timedelta(weeks=weeks)
    facts = {"price": Decimal(4), "brought": Decimal(48), "sold_out_at": (700,), "left_over": Decimal(0), **other}
    return rows.MarketDay(date=held, market="Quay", opens=480, closes=780, item="basil", unit="bunch", **facts)


def a_farm(*days, **other):
    return rows.FarmRows(items=(BASIL,), outlets=(QUAY,), market_days=days, **other)


def test_the_last_52_weeks_are_looked_back_at_and_all_are_learned_from():
    farm = a_farm(*(a_day(weeks) for weeks in (70, 60, 52, 51, 2, 1, 0)))
    back = look_back(farm, TODAY)
    # 52 weeks that end on Monday 4 May 2026 begin on Tuesday 5 May 2025; the Saturday 51 weeks before 2 May is 10 May.
    assert (back.first, back.as_of) == (date(2025, 5, 6), TODAY)
    assert [day.record.day for day in back.outlook.back.days] == [
        date(2025, 5, 10),
        date(2026, 4, 18),
        date(2026, 4, 25),
        date(2026, 5, 2),
    ]
    (market,) = back.outlook.markets
    assert [(item.days, item.past.ran_out) for item in market.items] == [(7, 4)]
    assert (market.days, back.learned_days) == (4, {"Quay": 7})


def test_the_next_day_is_the_markets_own_and_not_a_closed_one():
    closed = (rows.ClosedDay(first_day=date(2026, 5, 9), outlet="Quay"),)
    assert look_back(a_farm(a_day()), TODAY).coming == {"Quay": date(2026, 5, 9)}
    back = look_back(a_farm(a_day(), closed_days=closed), TODAY)
    assert (back.coming, back.outlook.markets[0].day) == ({"Quay": date(2026, 5, 16)}, date(2026, 5, 16))
    over = replace(a_farm(a_day()), outlets=(replace(QUAY, last_day=TODAY),))
    assert look_back(over, TODAY).coming == {}


@pytest.mark.parametrize("days", [(), (a_day(60),), (a_day(-1),)], ids=["none", "long ago", "to come"])
def test_without_a_day_there_is_nothing_to_tell(days):
    assert look_back(a_farm(*days), TODAY) is None


def economics(*days, item=BASIL):
    farm = replace(a_farm(*days), items=(item,))
    records, _notes = market_records(farm, TODAY)
    return farm_economics(farm, records)


def test_money_is_as_last_noted():
    found, dear = economics(
        a_day(2, price=Decimal(3), unit_cost=(Decimal("1.20"), False), leftover_value=Decimal("0.50")),
        a_day(1, price=Decimal(4)),
    )
    own = found["basil"]
    assert (own.price, own.unit_cost, own.leftover_value, own.unit, dear) == (4.0, 1.2, 0.5, "bunch", ())


def test_a_cost_noted_as_a_share_is_of_the_price():
    found, _dear = economics(a_day(0, unit_cost=(Decimal("0.25"), True)))
    assert found["basil"].unit_cost == 1.0


def test_a_leftover_worth_what_it_cost_is_reckoned_a_little_lower():
    found, dear = economics(a_day(0, unit_cost=(Decimal(1), False), leftover_value=Decimal(1)))
    assert (round(found["basil"].leftover_value, 4), dear) == (0.99, ("basil",))


def test_what_nobody_noted_is_not_known():
    found, _dear = economics(a_day(0, price=None))
    assert found["basil"].assumed == {"price", "unit_cost", "leftover_value"}
