"""The committed sheets: what the farm would be made from again, and what no real farm could contradict."""

from collections import Counter, defaultdict
from datetime import date, timedelta
from fractions import Fraction

import pytest

from farmops.exchange.sheets.columns import SHEETS
from farmops.exchange.sheets.read import read_folder
from farmops.proving.demo_farm.facts import BOX_SIZES, CALLED_OFF, CLOSED, FIRST_DAY, MARKETS, TODAY
from farmops.proving.demo_farm.sheets import sheet_text, write_sheets
from tests.proving.demo_farm.conftest import DEMO

KEPT = [sheet.name for sheet in SHEETS if sheet.name != "single_wants"]  # nobody wants anything just once there
YESTERDAY = TODAY - timedelta(days=1)


def day_of(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def test_the_committed_sheets_are_made_anew_byte_for_byte(season, tmp_path):
    written = write_sheets(tmp_path, season)
    assert [path.name for path in written] == [f"{name}.csv" for name in KEPT]
    assert sorted(path.name for path in (DEMO / "sheets").iterdir()) == sorted(path.name for path in written)
    for path in written:
        assert path.read_bytes() == (DEMO / "sheets" / path.name).read_bytes(), path.name


@pytest.mark.parametrize("sheet", [sheet for sheet in SHEETS if sheet.name in KEPT], ids=lambda sheet: sheet.name)
def test_every_sheet_has_its_columns_in_order_and_some_rows(sheet, sheets):
    rows = sheets[sheet.name]
    filled = {column for row in rows for column, text in row.items() if text}
    assert list(rows[0]) == [column.name for column in sheet.columns if column.required or column.name in filled]
    for column in sheet.columns:
        if column.required and not column.may_be_empty:
            assert all(row[column.name] for row in rows), column.name


def test_a_column_that_a_sheet_does_not_have_is_refused():
    with pytest.raises(ValueError, match="dict contains fields not in fieldnames"):
        sheet_text(["a"], [{"a": "1", "b": "2"}])


def test_the_reader_finds_no_fault():
    rows = read_folder(DEMO / "sheets")
    assert rows.missing == ("single_wants",)
    assert "invented" in rows.farm[0].name


def test_it_is_the_farm_that_was_asked_for(sheets):
    assert len(sheets["varieties"]) == 14
    assert len({row["crop"] for row in sheets["varieties"]}) == 8
    assert len(sheets["items"]) == 13
    assert Counter(row["kind"] for row in sheets["outlets"]) == {"market": 2, "buyer": 3, "box": 1}
    assert sum(boxes for _size, boxes in BOX_SIZES) == 40
    assert len({row["kind"] for row in sheets["spaces"]}) == 5
    assert {row["step"] for row in sheets["items"]} == {"1", "0.25"}


def test_no_day_lies_outside_the_farm_s_life(sheets):
    noted = [
        *(row["sown"] for row in sheets["plantings"]),
        *(row["cleared"] for row in sheets["plantings"]),
        *(row[name] for row in sheets["stays"] for name in ("from", "to")),
        *(row["day"] for name in ("losses", "picks", "walks") for row in sheets[name]),
        *(row["date"] for row in sheets["market_days"]),
        *(row["ended"] for row in sheets["waiting"]),
    ]
    days = [date.fromisoformat(text) for text in noted if text]
    assert min(days) >= FIRST_DAY
    assert max(days) <= YESTERDAY


def test_plants_are_lost_cut_moved_on_cleared_or_still_there(sheets):
    cleared = {row["planting"]: day_of(row["cleared"]) for row in sheets["plantings"]}
    came, ends = Counter(), {}
    gone, moved = Counter(), Counter()
    for row in sheets["stays"]:
        place = (row["planting"], row["space"])
        came[place] += int(row["plants"])
        ends[place] = max(ends.get(place, date.min), day_of(row["to"]) or date.max)
        if row["moved_from"]:
            moved[row["planting"], row["moved_from"]] += int(row["plants"])
    for row in sheets["losses"]:
        gone[row["planting"], row["space"]] += int(row["plants"])
    for row in sheets["picks"]:
        if row["unit"] == "head":
            gone[row["planting"], row["space"]] += int(row["amount"])
    for place, plants in came.items():
        rest = plants - gone[place] - moved[place]
        planting_ended = ends[place] == cleared[place[0]]
        assert rest >= 0, place
        assert rest == 0 or ends[place] == date.max or planting_ended, place
    assert set(gone) <= set(came)
    assert set(moved) <= set(came)


def test_all_that_was_sown_stood_somewhere_first(sheets):
    first = Counter()
    for row in sheets["stays"]:
        if not row["moved_from"]:
            first[row["planting"], row["from"]] += int(row["plants"])
    sown = {(row["planting"], row["sown"]): int(row["plants"]) for row in sheets["plantings"]}
    assert dict(first) == sown


def test_heads_are_cut_or_lost_before_winter_clears_the_rest(sheets):
    variety = {row["variety"]: row["harvest"] for row in sheets["schedules"] if row["harvest"]}
    rest = {row["planting"]: int(row["plants"]) for row in sheets["plantings"]}
    for row in [*sheets["losses"], *(pick for pick in sheets["picks"] if pick["unit"] == "head")]:
        rest[row["planting"]] -= int(row.get("plants") or row["amount"])
    for row in sheets["plantings"]:
        if variety[row["variety"]] == "head" and row["cleared"] and row["cleared"] != "2025-12-21":
            assert rest[row["planting"]] == 0, row["planting"]
    assert min(rest.values()) >= 0


def test_no_space_ever_holds_more_than_its_places(sheets):
    places = {row["space"]: int(row["places"]) for row in sheets["spaces"]}
    variety = {row["planting"]: row["variety"] for row in sheets["plantings"]}
    per_place = {(row["variety"], row["stage"]): int(row["plants_per_place"]) for row in sheets["schedules"]}
    changes: dict[str, dict[date, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for row in sheets["stays"]:
        taken = Fraction(int(row["plants"]), per_place[variety[row["planting"]], row["stage"]])
        changes[row["space"]][date.fromisoformat(row["from"])] += taken
        if row["to"]:
            changes[row["space"]][date.fromisoformat(row["to"])] -= taken
    fullest = {}
    for space, by_day in changes.items():
        level, top = Fraction(0), Fraction(0)
        for day in sorted(by_day):
            level += by_day[day]
            top = max(top, level)
        fullest[space] = top
    assert {space for space, top in fullest.items() if top > places[space]} == set()
    assert max(top / places[space] for space, top in fullest.items()) == 1


def test_markets_are_held_on_their_weekdays_in_season_and_not_when_closed(sheets):
    closed = {(day, name) for day, name, _why in CLOSED}
    markets = {market.name: market for market in MARKETS}
    for row in sheets["market_days"]:
        day, market = date.fromisoformat(row["date"]), markets[row["market"]]
        assert day.weekday() == market.weekday
        assert any(first <= day <= last for first, last in market.season)
        assert (day, market.name) not in closed
        assert (row["status"] == "called off") == ((day, market.name) in CALLED_OFF)
    assert {(row["date"], row["market"]) for row in sheets["market_days"] if row["status"]} == {
        (day.isoformat(), name) for day, name in CALLED_OFF
    }


def test_what_was_brought_is_sold_or_came_back(sheets, season):
    truth = {(row.day.isoformat(), row.market, row.item): row for row in season.truth}
    step = {row["item"]: Fraction(row["step"]) for row in sheets["items"]}
    for row in sheets["market_days"]:
        brought, carried = Fraction(row["brought"]), Fraction(row["carried_in"] or 0)
        assert (brought % step[row["item"]], brought + carried > 0) == (0, True)
        if row["status"]:
            assert (row["left_over"], row["sold_out_at"]) == ("", "")
            continue
        hidden_row = truth[row["date"], row["market"], row["item"]]
        sold = (hidden_row.wanted - hidden_row.turned_away) * step[row["item"]]
        assert sold <= brought + carried
        if row["left_over"]:
            assert sold + Fraction(row["left_over"]) == brought + carried
        ran_out = sold == brought + carried
        assert (row["left_over"] == "0") == ran_out
        times = row["sold_out_at"].split(";") if row["sold_out_at"] else []
        assert all(row["opens"] <= time <= row["closes"] for time in times)
        assert not times or ran_out or row["restocked"]


def test_cut_the_day_before_is_at_least_what_was_brought(sheets):
    cut = Counter()
    variety = {row["planting"]: row["variety"] for row in sheets["plantings"]}
    for row in sheets["picks"]:
        cut[variety[row["planting"]], date.fromisoformat(row["day"])] += Fraction(row["amount"])
    single = {row["item"]: row["variety"] for row in sheets["item_parts"] if row["share"] == "100"}
    salad = [row["variety"] for row in sheets["varieties"] if row["category"] == "salad"]
    pounds = {"salad mix bag": Fraction(150 * 10000, 4535924), "salad mix loose": Fraction(1)}
    pounds["arugula bag"] = pounds["salad mix bag"]
    salad_brought = Counter()
    for row in sheets["market_days"]:
        eve = date.fromisoformat(row["date"]) - timedelta(days=1)
        if row["item"] in pounds:
            salad_brought[eve] += Fraction(row["brought"]) * pounds[row["item"]]
        else:
            assert cut[single[row["item"]], eve] >= Fraction(row["brought"]), row
    for eve, brought in salad_brought.items():
        assert sum(cut[name, eve] for name in salad) * Fraction(92, 100) >= brought - Fraction(1, 1000)


def test_favourites_run_out_on_most_days_and_others_come_back(sheets):
    held = [row for row in sheets["market_days"] if not row["status"] and row["left_over"]]

    def share(*items):
        of = [row["left_over"] == "0" for row in held if row["item"] in items]
        return sum(of) / len(of)

    assert 0.5 <= share("sweet basil", "butterhead lettuce", "cilantro", "salad mix bag") <= 0.7
    assert share("flat-leaf parsley", "dark flat kale", "rainbow chard") <= 0.35


def test_people_forget_now_and_then(sheets):
    held = [row for row in sheets["market_days"] if not row["status"]]
    out = [row for row in held if row["left_over"] == "0"]
    assert 0.1 < sum(not row["sold_out_at"] for row in out) / len(out) < 0.3
    assert 0 < sum(not row["left_over"] for row in held) / len(held) < 0.05
    assert {row["weather"] for row in held} == {"", "dry", "rain"}
    assert sorted(row["date"] for row in held if row["restocked"]) == ["2026-05-30", "2026-07-25"]
    assert {row["price"] for row in held if row["item"] == "salad mix bag"} == {"5.00", "5.50"}
    assert sum(bool(row["carried_in"]) for row in held) > 10


def test_seed_in_hand_is_what_was_not_sown(sheets):
    sown = Counter()
    for row in sheets["plantings"]:
        sown[row["seed_lot"]] += int(row["plants"])
    for row in sheets["seed_lots"]:
        if row["received"] > "2026":
            assert int(row["seeds"]) > 0
            assert (int(row["seeds"]) + sown[row["seed_lot"]]) % 1000 == 0
