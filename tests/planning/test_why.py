"""The sum under a sowing adds up to the sowing."""

import math
from datetime import date
from pathlib import Path

import pytest

from farmops.core.sizing import Settings, solve
from farmops.exchange.sheets.read import read_folder
from farmops.planning.sowing import plan_sowings
from tests.exchange.sheets.small_farm import write_farm

DEMO = Path(__file__).resolve().parents[2] / "fixtures/demo/sheets"


@pytest.fixture(scope="module")
def answer():
    return plan_sowings(read_folder(DEMO), date(2026, 9, 7), Settings(explain=False), solve)


def test_uses_add_up_to_what_is_wanted_and_parts_to_what_is_sown(answer):
    whole = [line for line in answer.lines if line.is_whole]
    assert len(whole) > 20
    for line in whole:
        why = line.why
        assert math.fsum(use.in_sum for use in why.uses) == pytest.approx(why.wanted)
        assert why.wanted - why.coming == pytest.approx(why.short)
        assert why.plants == math.ceil(why.short * (1 - 1e-6) / why.per_plant / why.survive - 1e-6)
        assert why.parts == math.ceil(why.plants / line.variety.part_plants)
        assert why.parts + why.more == pytest.approx(line.parts)
        assert (why.more_for != "") is (why.more > 0)


def test_no_use_is_served_twice(answer):
    """Heads of one item: what all its sowings serve together is no more than what the plan serves."""
    for item in ("butterhead lettuce", "romaine lettuce"):
        served = math.fsum(line.why.short for line in answer.lines if line.item == item)
        promised = math.fsum(promise.met for promise in answer.promised if promise.want.item == item)
        taken = math.fsum(sale.taken for sale in answer.sales if sale.item == item)
        assert 0 < served <= promised + taken + 1e-6


def test_the_cutting_that_needs_most_makes_the_sum(tmp_path):
    # Our numbers: a tray of 100 plants gives 5 lb in its first cutting and 2.5 lb in its second, two weeks later.
    rows = read_folder(
        write_farm(
            tmp_path,
            varieties="variety,crop,part,part_plants,part_cost,sow_first_day,sow_last_day\n"
            "mizuna,mizuna,tray,100,1.00,05-04,05-04\n",
            schedules="variety,stage,stage_name,kind,days,light_response,plants_per_place,survive,harvest,unit,"
            "units_per_plant,cuttings,days_between,stands_good_days\n"
            "mizuna,1,bench,bench,28,0,100,100,cut,lb,0.05,100;50,14,7\n",
            items="item,unit,keeps_days,cutting_cost\nmizuna,lb,0,0.50\n",
            item_parts="item,variety,share\nmizuna,mizuna,100\n",
            outlets="outlet,kind,weekday\nInn,buyer,fri\n",
            prices="item,outlet,from,price\nmizuna,,,9.00\n",
            standing_orders="buyer,item,weekday,amount,first_day,last_day\n"
            "Inn,mizuna,fri,8,2026-06-05,2026-06-05\nInn,mizuna,fri,7,2026-06-19,2026-06-19\n",
        )
    )
    (line,) = plan_sowings(rows, date(2026, 5, 4), Settings(gap=1e-7, explain=False), solve).lines
    why = line.why
    assert (line.parts, why.harvest, why.parts, why.more, why.unit) == (3.0, 2, 3, 0.0, "lb")
    assert (round(why.wanted, 6), round(why.per_plant, 6), why.plants) == (7.0, 0.025, 280)
    assert [(one.number, round(one.needed, 6), one.parts) for one in why.harvests] == [(1, 8.0, 2), (2, 7.0, 3)]
