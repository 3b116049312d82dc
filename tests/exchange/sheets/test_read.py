"""Reading a farm's sheets: names joined, every fault found with its row, nothing guessed."""

from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from unittest.mock import patch

import pytest

from farmops.exchange.sheets.read import read_folder
from farmops.planning.rows import FaultsFound
from tests.exchange.sheets.small_farm import SMALL_FARM, write_farm


def places_of_faults(folder):
    with pytest.raises(FaultsFound) as found:
        read_folder(folder)
    return [(fault.sheet, fault.row, fault.column) for fault in found.value.faults]


def test_a_small_farm_is_read_whole(tmp_path):
    rows = read_folder(write_farm(tmp_path))
    assert rows.the_farm.latitude == Decimal("42.4")
    assert rows.the_farm.harvest_days == (1, 4)
    assert [(row.row, row.variety) for row in rows.varieties] == [
        (2, "green butterhead"),
        (3, "red oakleaf"),
        (4, "mizuna"),
        (5, "curly kale"),
    ]
    assert rows.schedules[4].cuttings == (Decimal(1), Decimal("0.8"), Decimal("0.6"))
    assert rows.outlets[1].opens == 480
    assert "market_days" in rows.missing


def test_the_same_sheets_as_a_spreadsheet_saves_them(tmp_path):
    plain, saved = tmp_path / "plain", tmp_path / "saved"
    plain.mkdir()
    saved.mkdir()
    write_farm(plain)
    for path in write_farm(saved).glob("*.csv"):
        text = path.read_text(encoding="utf-8").replace(",", ";") if path.stem == "prices" else path.read_text("utf-8")
        path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode() + b",,\r\n" * (path.stem != "prices"))
    assert read_folder(saved) == read_folder(plain)


def test_names_that_differ_in_case_and_spaces_are_one(tmp_path):
    rows = read_folder(
        write_farm(
            tmp_path,
            item_parts="""
                item,variety,share
                Butterhead,GREEN\u00a0Butterhead ,100
                mizuna  bag,Mizuna,100
                kale,curly kale,100%
                """,
        )
    )
    assert [(row.item, row.variety) for row in rows.item_parts] == [
        ("butterhead", "green butterhead"),
        ("mizuna bag", "mizuna"),
        ("kale", "curly kale"),
    ]


def test_every_fault_is_named_with_its_row_and_column(tmp_path):
    write_farm(
        tmp_path,
        spaces="""
            space,kind,places
            N-1,nursery,many
            F-1,channel,
            B-1,bench,6.5
            Bed 1,bed,60
            """,
        prices="""
            item,outlet,from,price
            butterhead,,2026-13-01,3.00
            butterhead,Inn,,"2,40"
            kale,,,-6.00
            """,
    )
    assert places_of_faults(tmp_path) == [
        ("spaces", 2, "places"),
        ("spaces", 3, "places"),
        ("spaces", 4, "places"),
        ("prices", 2, "from"),
        ("prices", 3, "price"),
        ("prices", 4, "price"),
    ]


def test_a_name_nobody_knows_is_a_fault_and_a_near_one_is_suggested(tmp_path):
    write_farm(tmp_path, prices="item,outlet,from,price\nbuterhead,,,3.00\ntulips,,,1.00\n")
    with pytest.raises(FaultsFound) as found:
        read_folder(tmp_path)
    assert [str(fault) for fault in found.value.faults] == [
        "prices, row 2, item: “buterhead” does not stand in the sheet items. Did you mean “butterhead”?",
        "prices, row 3, item: “tulips” does not stand in the sheet items. "
        "Add it to the sheet items, or correct the name.",
    ]


@pytest.mark.case("G13")
def test_shares_that_add_to_99_9_are_refused(tmp_path):
    write_farm(
        tmp_path,
        item_parts="""
            item,variety,share
            butterhead,green butterhead,100
            kale,curly kale,100
            mizuna bag,mizuna,33.3
            mizuna bag,curly kale,66.6
            """,
    )
    with pytest.raises(FaultsFound) as found:
        read_folder(tmp_path)
    assert [str(fault) for fault in found.value.faults] == [
        "item_parts, row 5, share: The shares of mizuna bag add up to 99.9. "
        "Change them so that they add up to 100, e.g. 33.3, 33.3 and 33.4."
    ]


@pytest.mark.parametrize(
    ("sheet", "text", "expected"),
    [
        ("spaces", None, [("spaces", None, "")]),
        ("spaces", "", [("spaces", None, "")]),
        ("spaces", "space,places\nN-1,4\n", [("spaces", 1, "kind")]),
        ("spaces", "space,kind,places,colour\nN-1,nursery,4,red\n", [("spaces", 1, "colour")]),
        ("farm", "name,latitude\nA,42\nB,43\n", [("farm", None, "")]),
        ("farm", "name,latitude\nA,142\n", [("farm", 2, "latitude")]),
        ("spaces", "space,kind,places\n" + ",".join(map(str, range(501))) + "\n", [("spaces", 2, "")]),
        ("spaces", ",".join(map(str, range(200_000))) + "\n", [("spaces", 1, ""), ("spaces", None, "")]),
        ("farm", "name,latitude,time_zone\nA,42,Mars/Base\n", [("farm", 2, "time_zone")]),
        ("farm", "name,latitude,time_zone\nA,42,../../etc/passwd\n", [("farm", 2, "time_zone")]),
        ("farm", "name,latitude,time_zone\nA,42,America\n", [("farm", 2, "time_zone")]),
        ("losses", "planting,day,plants\nP-1,2026-05-01,4\n", [("losses", 2, "planting")]),
        (
            "items",
            "item,unit,keeps_days\nbutterhead,head,3661\nmizuna bag,lb,3660\nkale,lb,99999999\n",
            [("items", 2, "keeps_days"), ("items", 4, "keeps_days")],
        ),
        (
            "schedules",
            SMALL_FARM["schedules"]
            .replace(",10\n", ",99999999\n")
            .replace(",19,7", ",521,7")
            .replace(",28,0", ",0.001,0"),
            [
                ("schedules", 6, "days"),
                ("schedules", 7, "days"),
                ("schedules", 3, "stands_good_days"),
                ("schedules", 5, "stands_good_days"),
                ("schedules", 8, "pick_weeks"),
            ],
        ),
        ("gadgets", "a,b\n1,2\n", [("gadgets", None, "")]),
        ("closed_days", "first_day,last_day\n2026-05-02,2026-05-01\n", [("closed_days", 2, "last_day")]),
        ("waiting", "ended,product\n2026-05-02,soap\n", [("waiting", 2, "planting")]),
        ("plantings", "planting,variety,sown,plants\nP,mizuna,2026-05-02,1,9\n", [("plantings", 2, "")]),
        ("plantings", 'planting,variety,sown,plants\nP,"mizuna,2026-05-02,1\n', [("plantings", 2, "")]),
        ("losses", "key,planting,day,plants\na,P,2026-05-01,4\na,P,2026-05-01,4\n", [("losses", 3, "key")]),
    ],
)
def test_what_is_wrong_with_a_sheet_is_said(tmp_path, sheet, text, expected):
    write_farm(tmp_path, **{sheet: text})
    assert places_of_faults(tmp_path)[: len(expected)] == expected


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("nursery,14,0,1,90", "nursery,0,0,1,90", ("schedules", 2, "days")),
        ("nursery,14,0,1,90", "nursery,14,0,1,0", ("schedules", 2, "survive")),
        ("finishing,channel,21,0,1,95,head,head,1", "finishing,channel,21,0,1,95,,head,1", ("schedules", 3, "harvest")),
        ("100;80;60,14", "100;80;60,", ("schedules", 6, "days_between")),
        ("green butterhead,2,", "green butterhead,3,", ("schedules", 2, "stage")),
    ],
)
def test_a_schedule_that_could_not_be_followed_is_refused(tmp_path, old, new, expected):
    write_farm(tmp_path, schedules=SMALL_FARM["schedules"].replace(old, new, 1))
    assert places_of_faults(tmp_path) == [expected]


def test_an_item_counted_otherwise_than_it_is_cut_needs_its_contents(tmp_path):
    bags = "item,unit,keeps_days\nbutterhead,head,7\nmizuna bag,bag,4\nkale,lb,7\n"
    write_farm(tmp_path, items=bags)
    assert places_of_faults(tmp_path) == [("items", 3, "contains_unit")]
    filled = "item,unit,keeps_days,contains,contains_unit\nbutterhead,head,7,,\nmizuna bag,bag,4,150,g\nkale,lb,7,,\n"
    assert read_folder(write_farm(tmp_path, items=filled)).items[1].contains == 150


def test_more_plants_than_were_sown_cannot_stand(tmp_path):
    write_farm(
        tmp_path,
        plantings="planting,variety,sown,plants\nP-1,green butterhead,2026-05-04,36\n",
        stays="planting,space,plants,from\nP-1,N-1,36,2026-05-04\nP-1,F-1,18,2026-05-18\n",
    )
    with pytest.raises(FaultsFound) as found:
        read_folder(tmp_path)
    assert [fault.problem for fault in found.value.faults] == ["54 plants of P-1 stand, but 36 were sown."]


def test_a_file_in_another_encoding_is_named_with_its_row(tmp_path):
    write_farm(tmp_path)
    (tmp_path / "spaces.csv").write_bytes("space,kind,places\nN-1,nursery,4\nÉtage,channel,5\n".encode("cp1252"))
    assert places_of_faults(tmp_path)[0] == ("spaces", 3, "")


def test_history_may_speak_of_a_market_that_is_gone(tmp_path):
    heading = "date,market,opens,closes,item,unit,price,brought,left_over,status"
    rows = read_folder(
        write_farm(
            tmp_path,
            market_days=f"{heading}\n2025-05-03,Old market,08:00,12:00,KALE,lb,6.00,12,,\n"
            "2025-05-10,saturday MARKET,08:00,13:00,kale,lb,,,,called off\n",
        )
    )
    assert [(row.date, row.market, row.item, row.left_over, row.status) for row in rows.market_days] == [
        (date(2025, 5, 3), "Old market", "kale", None, "took place"),
        (date(2025, 5, 10), "Saturday market", "kale", None, "called off"),
    ]


def test_a_name_in_capitals_is_the_same_sheet(tmp_path):
    write_farm(tmp_path)
    plain = read_folder(tmp_path)
    (tmp_path / "items.csv").rename(tmp_path / "Items.CSV")
    assert read_folder(tmp_path) == plain


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("closed_days.xlsx", "closed_days: The file closed_days.xlsx is not read: a sheet is a CSV file. "),
        ("Closed Days.csv.txt", "closed_days: The file Closed Days.csv.txt is not read: a sheet is a CSV file. "),
        ("items.txt", "items: The file items.txt is not read: a sheet is a CSV file. "),
        ("Items.csv", "items: Items.csv and items.csv are both this sheet. Leave one of the two."),
        ("notes.docx", "notes.docx: There is no sheet of this name. Rename it or take it out; sheets are: farm, "),
        ("gadgets.CSV", "gadgets: There is no sheet of this name. Rename it or take it out; sheets are: farm, "),
    ],
)
def test_no_file_is_passed_over_silently(tmp_path, name, fault):
    write_farm(tmp_path)
    (tmp_path / name).write_bytes((tmp_path / "items.csv").read_bytes())
    with pytest.raises(FaultsFound) as found:
        read_folder(tmp_path)
    assert [str(one)[: len(fault)] for one in found.value.faults] == [fault]


def test_hidden_files_and_what_explains_the_sheets_may_lie_beside_them(tmp_path):
    write_farm(tmp_path)
    plain = read_folder(tmp_path)
    for name in (
        ".DS_Store",
        ".~lock.items.csv#",
        "~$items.xlsx",
        "README.md",
        "What the columns mean.txt",
        "Thumbs.db",
    ):
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "old").mkdir()
    assert read_folder(tmp_path) == plain


def test_many_unknown_names_are_cut_short_and_only_the_first_get_a_suggestion(tmp_path):
    unknown = "".join(f"P-1{number:04d},2026-06-01,1,lb\n" for number in range(2_000))
    write_farm(
        tmp_path,
        plantings="planting,variety,sown,plants\n"
        + "".join(f"P-{number:04d},green butterhead,2026-05-04,36\n" for number in range(600)),
        picks=f"planting,day,amount,unit\n{unknown}",
    )
    close_matches = "farmops.exchange.sheets.read.difflib.get_close_matches"
    with patch(close_matches, side_effect=get_close_matches) as looked, pytest.raises(FaultsFound) as found:
        read_folder(tmp_path)
    faults = found.value.faults
    assert (len(faults), looked.call_count) == (51, 20)
    assert ["Did you mean" in fault.remedy for fault in faults] == [True] * 20 + [False] * 31
    assert str(faults[50]) == "picks: and 1950 more. Put those above right first, then try again."


def test_a_name_of_twenty_thousand_signs_is_compared_with_nothing(tmp_path):
    write_farm(tmp_path, prices=f"item,outlet,from,price\n{'kale' * 4_000},,,3.00\n")
    with pytest.raises(FaultsFound) as found:
        read_folder(tmp_path)
    assert len(str(found.value.faults[0])) < 250


@pytest.mark.parametrize("days", ["99999999", "-3661"])
def test_a_walk_that_shifts_a_planting_by_ten_years_is_refused(tmp_path, days):
    write_farm(
        tmp_path,
        plantings="planting,variety,sown,plants\nP-1,mizuna,2026-04-20,128\n",
        walks=f"planting,day,days_late\nP-1,2026-05-01,{days}\n",
    )
    assert places_of_faults(tmp_path) == [("walks", 2, "days_late")]
