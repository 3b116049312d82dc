"""What is wanted, as the programme takes it, and what had to be borrowed."""

from datetime import date

import pytest

from farmops.exchange.sheets.read import read_folder
from farmops.planning.horizon import horizon_from, products_of
from farmops.planning.needs import needs_of
from tests.exchange.sheets.small_farm import SMALL_FARM, write_farm


@pytest.mark.parametrize(
    ("rows", "word"),
    [
        ((), "butterhead: no market day is noted yet; what will be asked for is borrowed from what sells alike."),
        (("25,20,4,,",), "butterhead: only 1 market day is noted; the rest is borrowed from what sells alike."),
        (
            ("18,20,4,,", "25,20,3,,"),
            "butterhead: only 2 market days are noted; the rest is borrowed from what sells alike.",
        ),
        (("25,,,30,planned",), "butterhead: no market day is noted yet; your guess stands for one."),
        (("11,20,4,,", "18,20,4,,", "25,20,4,,"), None),
    ],
)
def test_demand_that_is_borrowed_is_said_to_be(tmp_path, rows, word):
    head = "date,market,opens,closes,item,unit,price,brought,left_over,guess,status"
    days = [
        f"2026-04-{day},Saturday market,08:00,13:00,butterhead,head,3.00,{rest}"
        for day, rest in (row.split(",", 1) for row in rows)
    ]
    sheets = {"market_days": "\n".join([head, *days])} if rows else {}
    prices = SMALL_FARM["prices"] + "butterhead,Saturday market,,3.00\n"
    found = read_folder(write_farm(tmp_path, prices=prices, **sheets))
    horizon = horizon_from(date(2026, 5, 4))
    assert needs_of(found, products_of(found), horizon).notes == ([word] if word else [])


def test_a_leftover_worth_more_than_cutting_it_costs_is_told_in_money(tmp_path):
    items = """
        item,category,unit,keeps_days,cutting_cost,leftover_value
        butterhead,lettuce,head,7,0.3,0.55
        mizuna bag,salad,lb,4,1.00,
        kale,kale,lb,7,0.80,
        """
    found = read_folder(write_farm(tmp_path, items=items))
    notes = needs_of(found, products_of(found), horizon_from(date(2026, 5, 4))).notes
    assert notes[-1:] == [
        "butterhead: a leftover counts $0.30, what cutting it costs, and not $0.55; "
        "else it would pay to cut for leftovers alone."
    ]
