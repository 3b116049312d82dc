"""What only several rows together show."""

import pytest

from farmops.exchange.sheets.checks import check_rows, harvest_units, same_kind_of_unit
from farmops.exchange.sheets.read import read_folder
from farmops.planning.rows import FaultsFound
from tests.exchange.sheets.small_farm import SMALL_FARM, write_farm


def faults_of(folder, **sheets):
    with pytest.raises(FaultsFound) as found:
        read_folder(write_farm(folder, **sheets))
    return [(fault.sheet, fault.row, fault.column, fault.problem) for fault in found.value.faults]


def test_the_small_farm_has_none_and_its_crops_are_cut_in_these_units(tmp_path):
    rows = read_folder(write_farm(tmp_path))
    assert check_rows(rows) == []
    assert harvest_units(rows) == {
        "green butterhead": "head",
        "red oakleaf": "head",
        "mizuna": "lb",
        "curly kale": "lb",
    }


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [("lb", "oz", True), ("heads", "head", True), ("lb", "bunch", False), ("bag", "head", False)],
)
def test_units_that_can_be_added(one, other, same):
    assert same_kind_of_unit(one, other) is same


@pytest.mark.case("G13")
def test_three_shares_of_33_3_are_refused(tmp_path):
    # SARE case study "Harvesting Greens" 2011; our numbers.
    names = ("lettuce", "mizuna", "arugula")
    stage = "{},1,bench,bench,20,0,100,100,cut,lb,1,100"
    found = faults_of(
        tmp_path,
        varieties="variety,crop\n" + "".join(f"{name},{name}\n" for name in names),
        schedules="variety,stage,stage_name,kind,days,light_response,plants_per_place,survive,harvest,unit,"
        "units_per_plant,packed\n" + "\n".join(stage.format(name) for name in names),
        items="item,unit,keeps_days\nsalad,lb,4\n",
        item_parts="item,variety,share\n" + "".join(f"salad,{name},33.3\n" for name in names),
        prices="item,outlet,from,price\nsalad,,,9.00\n",
    )
    assert found == [("item_parts", 4, "share", "The shares of salad add up to 99.9.")]


PLANTING = "planting,variety,sown,plants\nP-1,mizuna,2026-05-04,128\n"


@pytest.mark.parametrize(
    ("sheets", "fault"),
    [
        (
            {"plantings": PLANTING + "P-1,mizuna,2026-05-11,128\n"},
            ("plantings", 3, "planting", "Row 2 says the same again."),
        ),
        ({"farm": "name,latitude\nLow Meadow,95\n"}, ("farm", 2, "latitude", "There is no such latitude.")),
        (
            {"farm": "name,latitude,dark_first_day\nLow Meadow,42,11-07\n"},
            ("farm", 2, "dark_end_day", "The dark weeks have only one end."),
        ),
        (
            {"spaces": SMALL_FARM["spaces"] + "\nN-1,nursery,100\n"},
            ("spaces", 9, "from", "Row 2 holds for the same days."),
        ),
        (
            {"plantings": PLANTING, "stays": "planting,space,plants,from\nP-1,B-1,128,2026-05-03\n"},
            ("stays", 2, "from", "P-1 was sown later, on 2026-05-04."),
        ),
        (
            {"plantings": PLANTING, "stays": "planting,space,plants,from\nP-1,Bed 1,128,2026-05-04\n"},
            ("stays", 2, "stage", "mizuna has no stage in a bed."),
        ),
        (
            {"plantings": PLANTING, "picks": "planting,day,amount,unit\nP-1,2026-06-05,3,bunch\n"},
            ("picks", 2, "unit", "P-1 is cut in lb by its schedule."),
        ),
        (
            {"plantings": PLANTING, "losses": "planting,day,plants\nP-1,2026-05-01,3\n"},
            ("losses", 2, "day", "P-1 was sown later, on 2026-05-04."),
        ),
        (
            {"closed_days": "first_day,last_day,outlet\n2026-07-04,2026-07-01,\n"},
            ("closed_days", 2, "last_day", "It ends before it begins."),
        ),
        ({"waiting": "ended,product\n2026-07-04,soap\n"}, ("waiting", 2, "planting", "Nothing says what was treated.")),
        (
            {"standing_orders": "buyer,item,weekday,amount,every_weeks\nInn,kale,fri,4,2\n"},
            ("standing_orders", 2, "every_weeks", "It is not clear which weeks are meant."),
        ),
    ],
)
def test_what_does_not_fit_together_is_named_with_its_row(tmp_path, sheets, fault):
    assert faults_of(tmp_path, **sheets) == [fault]
