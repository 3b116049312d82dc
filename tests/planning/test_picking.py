"""The pick list of a harvest day."""

from datetime import date
from decimal import Decimal

import pytest

from farmops.exchange.sheets.read import read_folder
from farmops.planning.pick_list_words import as_text
from farmops.planning.picking import pick_list
from tests.exchange.sheets.small_farm import write_farm

FRIDAY = date(2026, 9, 11)
TWO_MARKETS = {
    "farm": "name,latitude,harvest_days\nLow Meadow,42.4,fri\n",
    "items": """
        item,unit,step,keeps_days
        salad,lb,0.25,4
        heads,head,1,7
        """,
    "item_parts": "item,variety,share\nsalad,mizuna,100\nheads,green butterhead,100\n",
    "prices": "item,outlet,from,price\nsalad,,,9.00\nheads,,,3.00\n",
    "outlets": "outlet,kind,weekday\nSaturday market,market,sat\nWednesday market,market,wed\nInn,buyer,fri\n",
    "market_days": """
        date,market,opens,closes,item,unit,price,brought,left_over,status
        2026-09-12,Saturday market,08:00,13:00,salad,lb,9.00,40,,planned
        2026-09-12,Saturday market,08:00,13:00,heads,head,3.00,60,,planned
        2026-09-16,Wednesday market,08:00,13:00,salad,lb,9.00,22,,planned
        2026-09-16,Wednesday market,08:00,13:00,heads,head,3.00,30,,planned
        """,
}


def listed(folder, day=FRIDAY, **sheets):
    return pick_list(read_folder(write_farm(folder, **{**TWO_MARKETS, **sheets})), day)


@pytest.mark.case("G11")
def test_two_markets_and_one_harvest_day(tmp_path):
    # lists.ibiblio.org market-farming 2012-May, all-natural-mama.blogspot.com 2011/07; our numbers.
    found = listed(tmp_path)
    assert [(line.item.item, line.total, [want.amount for want in line.wants]) for line in found.items] == [
        ("salad", 40, [40]),
        ("heads", 90, [60, 30]),
    ]
    without = found.needs.without_day
    assert [(one.want.amount, one.want.day, one.days_kept) for one in without] == [(22, date(2026, 9, 16), 5)]
    text = as_text(found).splitlines()
    assert text[0] == "Pick list for Friday 11 September 2026 (2026-W37)"
    assert text[2:4] == [
        "salad: 40 lb = 40 lb Sat 12 Sep Saturday market",
        "heads: 90 heads = 60 heads Sat 12 Sep Saturday market + 30 heads Wed 16 Sep Wednesday market",
    ]
    assert "  salad: 22 lb for Wed has no harvest day (it would be 5 days old and keeps 4)" in text


def test_with_a_tuesday_too_wednesday_is_cut_on_tuesday(tmp_path):
    farm = "name,latitude,harvest_days\nLow Meadow,42.4,tue;fri\n"
    friday, tuesday = listed(tmp_path, farm=farm), listed(tmp_path, date(2026, 9, 15), farm=farm)
    assert [(line.item.item, line.total) for line in friday.items] == [("salad", 40), ("heads", 60)]
    assert [(line.item.item, line.total) for line in tuesday.items] == [("salad", 22), ("heads", 30)]
    assert (friday.needs.without_day, tuesday.needs.without_day) == ((), ())


def test_a_harvest_day_that_is_closed_is_none(tmp_path):
    closed = "first_day,last_day,outlet\n2026-09-15,,\n"
    farm = "name,latitude,harvest_days\nLow Meadow,42.4,tue;fri\n"
    assert [line.total for line in listed(tmp_path, farm=farm, closed_days=closed).items] == [40, 90]


@pytest.mark.case("G14")
def test_more_is_cut_than_is_packed(tmp_path):
    # uvm.edu produce portal, Shelburne Farms wash line; our numbers: 50 lb packed with 10 % lost.
    orders = "buyer,item,weekday,amount\nInn,salad,fri,50\n"
    found = listed(tmp_path, market_days=None, standing_orders=orders)
    cut = next(line for line in found.cuts if line.variety == "mizuna")
    assert (cut.packed, round(cut.cut, 1)) == (50, Decimal("55.6"))
    assert "  mizuna: cut 55.6 lb for 50 lb packed" in as_text(found)


def test_it_says_where_to_cut_oldest_first_and_what_is_short(tmp_path):
    found = listed(
        tmp_path,
        plantings="""
            planting,variety,sown,plants
            P-2,green butterhead,2026-08-06,50
            P-1,green butterhead,2026-08-04,40
            """,
        stays="""
            planting,space,plants,from
            P-1,F-1,40,2026-08-18
            P-2,F-2,50,2026-08-20
            """,
    )
    heads = next(line for line in found.cuts if line.variety == "green butterhead")
    # 40 × 0.95 = 38 and 50 × 0.95 = 47.5, of which 47 are whole: 85 of 90.
    assert [(source.planting, source.spaces, source.amount) for source in heads.sources] == [
        ("P-1", ("F-1",), 38),
        ("P-2", ("F-2",), 47),
    ]
    assert heads.short == 5
    assert "      SHORT 5 heads" in as_text(found).splitlines()


def test_a_treated_planting_is_off_the_list_wherever_it_has_gone(tmp_path):
    sheets = {
        "plantings": """
            planting,variety,sown,plants
            P-1,green butterhead,2026-08-04,40
            P-2,green butterhead,2026-08-04,40
            """,
        "stays": """
            planting,space,plants,from,to
            P-1,N-1,40,2026-08-04,2026-08-18
            P-1,F-1,40,2026-08-18,
            P-2,F-2,40,2026-08-18,
            """,
        "waiting": "space,ended,ended_at,product,job,harvest_days\nN-1,2026-08-10,,dip,dip,35\n",
    }
    found = listed(tmp_path, **sheets)
    assert [(one.planting, one.until.strftime("%Y-%m-%d %H:%M")) for one in found.blocked] == [
        ("P-1", "2026-09-15 00:00")
    ]
    heads = next(line for line in found.cuts if line.variety == "green butterhead")
    assert [source.planting for source in heads.sources] == ["P-2"]
    assert "  P-1 green butterhead in F-1: dip, not before Tue 15 Sep 00:00" in as_text(found).splitlines()
    unknown = {**sheets, "waiting": "space,ended,product\nF-2,2026-09-01,soap\n"}
    lines = as_text(listed(tmp_path, **unknown)).splitlines()
    assert "  P-2 green butterhead in F-2: soap, days to wait not noted; read the label first" in lines


@pytest.mark.case("G13")
def test_a_mix_that_is_short_says_how_much_the_exact_shares_give(tmp_path):
    stage = "{},1,bench,bench,20,0,100,100,cut,lb,1,100"
    varieties = ("lettuce", "mizuna", "arugula", "red kale")
    found = listed(
        tmp_path,
        varieties="variety,crop\n" + "".join(f"{name},{name}\n" for name in varieties),
        schedules="variety,stage,stage_name,kind,days,light_response,plants_per_place,survive,harvest,unit,units_per_plant,packed\n"
        + "\n".join(stage.format(name) for name in varieties),
        items="item,unit,keeps_days\nsalad,lb,4\n",
        item_parts="item,variety,share\nsalad,lettuce,50\nsalad,mizuna,20\nsalad,arugula,15\nsalad,red kale,15\n",
        prices="item,outlet,from,price\nsalad,,,9.00\n",
        market_days=None,
        standing_orders="buyer,item,weekday,amount\nInn,salad,fri,50\n",
        plantings="planting,variety,sown,plants\n"
        + "".join(
            f"P-{name},{name},2026-08-20,{plants}\n" for name, plants in zip(varieties, (22, 12, 9, 10), strict=True)
        ),
        stays="planting,space,plants,from\n"
        + "".join(
            f"P-{name},B-1,{plants},2026-08-20\n" for name, plants in zip(varieties, (22, 12, 9, 10), strict=True)
        ),
    )
    assert [(mix.wanted, mix.most) for mix in found.mixes] == [(50, 44)]
    assert [(line.variety, line.short) for line in found.cuts if line.short] == [("lettuce", 3)]
    assert "salad: the exact mix gives at most 44 lb of 50 lb." in as_text(found).splitlines()
