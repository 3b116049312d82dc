"""What lies in the cold room counts in the plan for as long as it keeps."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from farmops.core.sizing import Mix
from farmops.planning.counting_on import planned_from_tables
from farmops.planning.horizon import Horizon, Products, Target
from farmops.planning.picking_stock import Stock
from farmops.planning.rows import Item
from farmops.planning.stock_by_week import stock_by_week
from tests.planning.small_farm import a_planting
from tests.planning.sown_farm import TODAY, a_sown_farm, quick
from tests.planning.wanted import a_lot

MONDAY = date(2026, 5, 4)
HORIZON = Horizon(MONDAY, MONDAY)
KALE = Item(item="kale", unit="bunch", keeps_days=14)
LEAF = Item(item="leaf bag", unit="bag", keeps_days=5)
MIX = Mix("leaf bag", (("cress (for mixes)", 0.1),))
PRODUCTS = Products(
    {"kale": KALE, "leaf bag": LEAF},
    {},
    {"curly": Target("kale", 2.0), "cress": Target("cress (for mixes)", 0.9)},
    (MIX,),
)


@pytest.mark.parametrize(
    ("name", "is_packed", "cut", "found"),
    [
        # cut on Saturday, keeps until Saturday 16 May: the week after this one still, not the one after that
        pytest.param("kale", True, date(2026, 5, 2), {"kale": (0.0, 10.0)}, id="next week too"),
        pytest.param("kale", True, date(2026, 4, 22), {"kale": (10.0,)}, id="until Wednesday"),
        pytest.param("kale", True, date(2026, 4, 19), {}, id="past its best"),
        # 10 lb cut are 20 bunches
        pytest.param("curly", False, date(2026, 5, 2), {"kale": (0.0, 20.0)}, id="as cut"),
        # 10 lb cut are 9 lb packed; a bag keeps 5 days
        pytest.param("cress", False, date(2026, 5, 1), {"cress (for mixes)": (9.0,)}, id="part of a mix"),
        pytest.param("cress", False, date(2026, 4, 28), {}, id="part of a mix, too old"),
        pytest.param("stone", True, date(2026, 5, 2), {}, id="not sold any more"),
    ],
)
def test_counted_while_it_keeps(name, is_packed, cut, found):
    lot = Stock(name, is_packed, Decimal(10), cut)
    assert stock_by_week([lot], PRODUCTS, HORIZON) == found


def test_lots_of_one_item_are_added_up_by_the_weeks_they_keep():
    lots = [Stock("kale", True, Decimal(4), MONDAY - timedelta(days=days)) for days in (1, 1, 12)]
    assert stock_by_week(lots, PRODUCTS, HORIZON) == {"kale": (4.0, 8.0)}


@pytest.mark.django_db
@pytest.mark.parametrize("weeks", [26, 60])
def test_the_plans_of_half_a_year_and_of_the_year_count_on_what_lies_there(weeks):
    variety, item = a_sown_farm()
    before = planned_from_tables(TODAY, None, quick, weeks=weeks)
    a_lot(a_planting(variety), 40, TODAY)
    after = planned_from_tables(TODAY, None, quick, weeks=weeks)
    assert after.plan.horizon.weeks == weeks
    assert [sum(one.plan.basis.needs.items[0].stock) for one in (before, after)] == [0, 40]
    first = [next(sale.taken for sale in one.plan.sales if sale.item == item.name) for one in (before, after)]
    assert (first[0], first[1] > 20) == (0, True)
