"""Tables to sheets: written, read and written again is the same to the byte, and nothing is dropped silently."""

import csv
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from farmops.exchange.read_sheets.take_in import read_sheets
from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.write_sheets import said_of, write_sheets
from farmops.growing.models import Item, Planting
from farmops.harvest.models import CrateKind, Lot, Pick, StockMove
from farmops.journal.models import Entry
from farmops.journal.undo import undo
from farmops.planning.winter_closed import close_days
from farmops.selling.models import MarketFact, MarketLine
from farmops.selling.set_price import add_outlet, set_price
from farmops.waiting.models import DoNotCut
from tests.exchange.emptied import emptied
from tests.exchange.grown_farm import write_grown, write_only
from tests.growing.beds import saying

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)
DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "sheets"


def rows_in(folder, sheet):
    with (folder / f"{sheet}.csv").open(encoding="utf-8-sig", newline="") as file:
        return [{name: cell for name, cell in row.items() if cell} for row in csv.DictReader(file)]


def bytes_in(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def again(folder, now=NOW):
    """Written, read into an empty farm, written: both folders, as bytes."""
    first = write_sheets(folder / "first")
    assert first.will_not_read == []
    emptied()
    read_sheets(folder / "first", now=now)
    write_sheets(folder / "second")
    return bytes_in(folder / "first"), bytes_in(folder / "second")


def test_every_sheet_is_written_read_and_written_the_same(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    first, second = again(tmp_path)
    assert first == second
    assert sorted(first) == sorted(f"{sheet.name}.csv" for sheet in SHEETS)


def test_the_demo_farm_is_written_read_and_written_the_same(tmp_path):
    read_sheets(DEMO, now=datetime(2026, 9, 7, 13, 0, tzinfo=UTC))
    first, second = again(tmp_path)
    assert first == second
    # The farm is now the one restored from what was written; the first sheets tell the same in other words.
    read = read_sheets(DEMO, now=datetime(2026, 9, 7, 13, 0, tzinfo=UTC), dry_run=True)
    assert (dict(read.added), sum(read.there.values())) == ({}, 8365)


def test_what_was_written_is_there_already_when_it_is_read_into_its_own_farm(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    write_sheets(tmp_path / "out")
    read = read_sheets(tmp_path / "out", now=NOW)
    assert (read.added, sum(read.there.values())) == ({}, 58)


def test_every_fact_of_the_sheets_is_in_those_that_are_written(tmp_path):
    farm = write_grown(tmp_path / "farm")
    read_sheets(farm, now=NOW)
    write_sheets(tmp_path / "out")
    kept_otherwise = {("picks", "unit", "heads"), ("picks", "amount", "12.0"), ("plantings", "cleared", "")}
    for sheet in ("seed_lots", "plantings", "losses", "walks", "picks", "market_days", "single_wants", "waiting"):
        written = rows_in(tmp_path / "out", sheet)
        for row in rows_in(farm, sheet):
            said = {(name, cell) for name, cell in row.items() if (sheet, name, cell) not in kept_otherwise}
            assert [one for one in written if said <= set(one.items())] != [], (sheet, row)


def test_stays_say_when_the_last_plant_left_and_what_was_cleared(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    write_sheets(tmp_path / "out")
    stays = [(row["planting"], row["space"], row["plants"], row.get("to", ""), row.get("cleared", ""))
             for row in rows_in(tmp_path / "out", "stays")]  # fmt: skip
    assert stays == [
        ("P-1", "N-1", "40", "2026-03-16", ""),
        ("P-1", "F-1", "18", "", ""),
        ("P-1", "F-2", "18", "", ""),
        ("P-2", "B-1", "256", "2026-04-27", "yes"),
        ("P-3", "N-1", "72", "2026-06-29", ""),
    ]


HARMFUL = ['=HYPERLINK("http://x","free")', "+1 555 0100", "@home", "-2+3", "\tindented", "'=quoted", "-25.00"]


@pytest.mark.case("I07")
@pytest.mark.parametrize("note", HARMFUL)
def test_a_text_is_no_formula_to_a_spreadsheet_and_comes_back_as_it_was(tmp_path, note):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    Planting.objects.filter(code="P-1").update(note=note)
    first, second = again(tmp_path)
    cell = rows_in(tmp_path / "first", "plantings")[0]["note"]
    assert (cell, cell[0]) == (f"'{note}", "'")
    assert Planting.objects.get(code="P-1").note == note
    assert first == second


@pytest.mark.case("I07")
def test_numbers_stay_numbers_below_nothing_too(tmp_path):
    walks = "planting,day,days_late\nP-1,2026-04-30,-3.50\nP-1,2026-04-29,-25.00"
    read_sheets(write_grown(tmp_path / "farm", walks=walks, farm="name,latitude\nSouth,-42.4"), now=NOW)
    write_sheets(tmp_path / "out")
    assert [row["days_late"] for row in rows_in(tmp_path / "out", "walks")] == ["-3.5", "-25"]
    assert [row["latitude"] for row in rows_in(tmp_path / "out", "farm")] == ["-42.4"]


OF_THE_DAY = (
    {"price": "3.00", "brought": "60", "left_over": "10", "taken_home": "3", "given_away": "5", "composted": "2",
     "restocked": "25", "restocked_at": "10:15", "restocks": "10:15=20;11:00=5", "sold_out_at": "11:20",
     "back_at": "11:30", "sold": "20", "counted": "11:00=14;12:00=6", "item": "butterhead", "unit": "head",
     "price_changes": "12:00=2.50;12:30=3 for 5.00"},
    {"price": "6.00", "brought": "4", "left_over": "1.5", "given_away": "1", "sold_out": "yes", "item": "kale",
     "unit": "lb"},
)  # fmt: skip
DAY = {"date": "2026-05-02", "market": "Saturday market", "opens": "08:00", "closes": "13:00", "left_at": "12:40"}


def market_sheet():
    columns = [*DAY, *OF_THE_DAY[0], "sold_out"]
    lines = [",".join({**DAY, **row}.get(column, "") for column in columns) for row in OF_THE_DAY]
    return "\n".join([",".join(columns), *lines])


def test_leftovers_restocks_counts_and_prices_of_a_day_are_all_carried(tmp_path):
    read_sheets(write_grown(tmp_path / "farm", market_days=market_sheet()), now=NOW)
    facts = MarketFact.objects.filter(line__item__name="butterhead").order_by("pk")
    assert [(fact.kind, fact.amount, fact.minute, fact.price_cents, fact.price_for) for fact in facts] == [
        ("brought", 60, None, None, None),
        ("restocked", 20, 615, None, None),
        ("restocked", 5, 660, None, None),
        ("sold out", None, 680, None, None),
        ("back", None, 690, None, None),
        ("price", None, 720, 250, None),
        ("price", None, 750, 500, 3),
        ("tallied", 14, 660, None, None),
        ("tallied", 6, 720, None, None),
        ("home", 3, None, None, None),
        ("donated", 5, None, None, None),
        ("compost", 2, None, None, None),
    ]
    first, second = again(tmp_path)
    assert first == second
    for row in rows_in(tmp_path / "farm", "market_days"):
        assert [one for one in rows_in(tmp_path / "first", "market_days") if row.items() <= one.items()] != []


PICKS = """
    planting,day,amount,unit,space,typed,also,also_unit,gross_g,crates,tare_g,culled,culled_g,before_ready,lot
    P-1,2026-05-01,10,head,F-1,10 heads 3.3 lb,3.3,lb,3000.5,1,1503.614849057,2,120,yes,2F-P5J8
    """


def test_crates_tare_culls_and_the_lot_s_code_are_carried(tmp_path):
    read_sheets(write_grown(tmp_path / "farm", picks=PICKS), now=NOW)
    pick = Pick.objects.select_related("lot").get()
    assert (pick.count, pick.mass_ng, pick.gross_ng, pick.crates, pick.crate_tare_ng, pick.culled_count) == (
        10, 1_496_854_821_000, 3_000_500_000_000, 1, 1_503_614_849_057, 2,
    )  # fmt: skip
    assert (pick.lot.code, pick.was_before_ready, pick.typed) == ("2F-P5J8", True, "10 heads 3.3 lb")
    first, second = again(tmp_path)
    assert first == second
    row = rows_in(tmp_path / "farm", "picks")[0]
    assert row.items() <= rows_in(tmp_path / "first", "picks")[0].items()


def test_a_wait_of_one_s_own_is_written_where_it_was_set(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    wait = DoNotCut.objects.get()
    assert (wait.planting.code, wait.stay.space.name, wait.reason) == ("P-1", "F-1", "hail")
    assert wait.before == datetime(2026, 5, 6, 10, 30, tzinfo=UTC)  # 06:30 in New York
    more = write_only(tmp_path / "more", stays="planting,space,plants,from,moved_from\nP-1,F-3,5,2026-05-02,F-1")
    read_sheets(more, now=NOW)  # planning follows the wait to F-3; the sheet says it once
    write_sheets(tmp_path / "out")
    assert [row for row in rows_in(tmp_path / "out", "waiting") if "reason" in row] == [
        {"planting": "P-1", "space": "F-1", "ended": "2026-03-16", "reason": "hail", "not_before": "2026-05-06",
         "not_before_at": "06:30", "key": wait.entry.once_key.partition(":")[2]},
    ]  # fmt: skip


def test_what_sheets_do_not_carry_is_said(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    assert write_sheets(tmp_path / "out").left_out == ["1 stops of lots"]
    entry = Entry.objects.order_by("pk").first()
    CrateKind.objects.create(name="grey", tare_ng=10**12)
    Lot.objects.create(code="MIX-1", kind="mix", made_on=date(2026, 5, 4), entry=entry)
    Lot.objects.filter(planting__code="P-2").update(stopped_at=NOW, stopped_because="glass")
    variety = Planting.objects.get(code="P-2").variety
    StockMove.objects.create(
        variety=variety, moved_on=date(2026, 5, 4), amount=1, unit="head", why="picked", entry=entry
    )
    line = MarketLine.objects.get(market_day__status="planned")
    MarketFact.objects.create(line=line, kind="brought", amount=20, entry=entry)
    assert write_sheets(tmp_path / "out").left_out == [
        "1 moves into and out of the cold room",
        "1 lots that were mixed or received",
        "2 stops of lots",
        "1 kinds of crates",
        "1 loads of market days that have not begun",
    ]


def test_plants_that_left_in_a_way_sheets_cannot_tell_are_said(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    Planting.objects.get(code="P-2").leavings.update(left_on=date(2026, 4, 20), how="lost")
    read = write_sheets(tmp_path / "out")
    assert read.left_out == ["1 stops of lots"]  # all lost, and the planting was cleared: losses say it
    Planting.objects.get(code="P-2").leavings.filter(how="lost").update(how="cut")
    assert write_sheets(tmp_path / "out").left_out == [
        "1 stops of lots",
        "1 plantings of which the sheets tell less than the tables how plants left",
    ]


def test_sheets_that_would_be_refused_are_named(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    MarketLine.objects.all()
    Planting.objects.filter(code="P-1").update(sown_on=date(2026, 4, 1))
    assert write_sheets(tmp_path / "out").will_not_read[0] == (
        "stays, row 2, from: P-1 was sown later, on 2026-04-01. Check both days."
    )


def test_an_empty_farm_writes_headings_alone(tmp_path):
    written = write_sheets(tmp_path / "out")
    assert said_of(written, tmp_path) == f"20 sheets written into {tmp_path}"
    assert {len(path.read_bytes().splitlines()) for path in written.files} == {1}


def test_shade_and_lamps_are_read_into_the_kinds_and_written_again(tmp_path):
    head = "space,kind,places,shade,lamp_hours,lamp_light"
    with (write_grown(tmp_path / "farm") / "spaces.csv").open(encoding="utf-8-sig") as file:
        names = [(row["space"], row["kind"], row["places"]) for row in csv.DictReader(file)]
    light = {"nursery": ",11-01=6;02-15=0,80", "channel": "05-15=40;09-01=0,,"}
    lines = [",".join((*name, light.pop(name[1], ",,"))) for name in names]
    told = "\n".join((head, *lines))
    read_sheets(write_grown(tmp_path / "lit", spaces=told), now=NOW)
    first, second = again(tmp_path)
    assert first == second
    written = {
        (row["kind"], row.get("shade"), row.get("lamp_hours"), row.get("lamp_light"))
        for row in rows_in(tmp_path / "first", "spaces")
    }
    assert ("channel", "05-15=40;09-01=0", None, None) in written
    assert ("nursery", None, "02-15=0;11-01=6", "80") in written
    # Read again, with the light in one row of a kind alone or in none: nothing differs from what the farm has.
    assert read_sheets(tmp_path / "lit", now=NOW).added == {}
    assert (
        read_sheets(
            write_only(tmp_path / "bare", spaces="\n".join(("space,kind,places", *(",".join(name) for name in names)))),
            now=NOW,
        ).added
        == {}
    )


def test_a_price_and_an_outlet_taken_back_stand_in_no_sheet(tmp_path):
    read_sheets(write_grown(tmp_path / "farm"), now=NOW)
    write_sheets(tmp_path / "before")
    item = Item.objects.order_by("pk").first()
    price = set_price(saying=saying("price"), item=item, outlet=None, typed="9", from_on=date(2026, 6, 1))
    outlet = add_outlet(saying=saying("outlet"), name="Pond Street", kind="market", weekday=2)
    closed = close_days(saying=saying("closed"), outlet=None, first_on=date(2026, 7, 1), last_on=date(2026, 7, 2))
    for number, done in enumerate((price, outlet, closed)):
        undo(saying(f"back {number}", corrects=done.entry))
    assert write_sheets(tmp_path / "after").will_not_read == []
    assert bytes_in(tmp_path / "after") == bytes_in(tmp_path / "before")
