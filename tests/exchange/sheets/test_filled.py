"""Sheets that hold their headings only, and names that nothing stands behind."""

import pytest

from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.planning.rows import FaultsFound
from tests.exchange.sheets.small_farm import SMALL_FARM, write_farm


def faults_of(folder, **sheets):
    with pytest.raises(FaultsFound) as found:
        read_folder(write_farm(folder, **sheets))
    return [(fault.sheet, fault.row, fault.column, fault.problem, fault.remedy) for fault in found.value.faults]


def test_one_row_of_the_farm_and_headings_only_is_no_farm(tmp_path):
    headings = {name: text.strip().splitlines()[0] + "\n" for name, text in SMALL_FARM.items() if name != "farm"}
    needed = [sheet for sheet in SHEETS if sheet.needed and sheet.name != "farm"]
    assert faults_of(tmp_path, **headings) == [
        (sheet.name, None, "", "This sheet has no rows.", f"Fill it in: {sheet.meaning}.") for sheet in needed
    ]
    assert {"varieties", "schedules", "spaces", "items", "item_parts", "outlets", "prices"} == {
        sheet.name for sheet in needed
    }


def test_a_variety_without_a_schedule_is_named_where_it_stands(tmp_path):
    varieties = SMALL_FARM["varieties"] + "chard,chard,greens,tray,72,3.00\n"
    assert faults_of(tmp_path, varieties=varieties) == [
        ("varieties", 6, "variety", "chard has no schedule.", "Add its stages to the sheet schedules.")
    ]


def test_an_item_made_of_nothing_is_named(tmp_path):
    items = SMALL_FARM["items"] + "chard,bunch,1,greens,4,0.40\n"
    remedy = "Add its varieties to the sheet item_parts."
    assert faults_of(tmp_path, items=items) == [("items", 5, "item", "Nothing says what chard is made of.", remedy)]


@pytest.mark.parametrize("outlet", ["", "Saturday market"])
def test_a_market_needs_one_price_of_its_own_or_for_all(tmp_path, outlet):
    bare = "item,outlet,from,price\nbutterhead,Inn,,2.40\n"
    remedy = "Add one to the sheet prices; with an empty outlet it holds everywhere."
    assert faults_of(tmp_path, prices=bare) == [
        ("outlets", 2, "outlet", "Nothing has a price at Saturday market.", remedy)
    ]
    assert len(read_folder(write_farm(tmp_path, prices=bare + f"butterhead,{outlet},,3.00\n")).prices) == 2
