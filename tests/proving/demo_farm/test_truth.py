"""The true demand: known to the demo farm, and not to be found in anything that is read."""

import csv

from farmops.proving.demo_farm import season as seasons
from farmops.proving.demo_farm.market_notebook import csv_text
from farmops.proving.demo_farm.sheets import write_sheets
from farmops.proving.demo_farm.stall import sell
from farmops.proving.demo_farm.truth import write_truth
from tests.proving.demo_farm.conftest import DEMO


def test_truth_says_what_was_wanted_and_what_is_to_come(season, tmp_path):
    demand, to_come, growth = write_truth(tmp_path, season)
    with demand.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == sum(not row.called_off for row in season.stall)
    assert sum(int(row["turned_away"]) for row in rows) > 3000
    with to_come.open(encoding="utf-8", newline="") as file:
        days = sorted({row["date"] for row in csv.DictReader(file)})
    assert (days[0], days[-1], len(days)) == ("2026-09-09", "2026-12-19", 22)
    with growth.open(encoding="utf-8", newline="") as file:
        assert len(list(csv.DictReader(file))) == len(season.greenhouse.plantings)


def test_the_fixtures_hold_no_truth():
    assert [path.name for path in DEMO.rglob("*") if "true" in path.name] == []


def test_twice_as_many_turned_away_leave_no_trace_in_what_is_written(season, tmp_path, monkeypatch):
    """Whoever comes after the table is empty for good changes the truth and not one byte of sheets or notebook."""
    turned_away = 0

    def sell_to_more(customers, on_table, in_van, fetch_minutes):
        nonlocal turned_away
        done = sell(customers, on_table, in_van, fetch_minutes)
        if done.left == 0 and done.empty_at:
            late = [(minute, wish) for minute, wish in customers if minute > done.empty_at[-1]]
            more = sell(sorted([*customers, *late]), on_table, in_van, fetch_minutes)
            turned_away += more.turned_away - done.turned_away
            assert (more.sold, more.left, more.empty_at) == (done.sold, done.left, done.empty_at)
            return more
        return done

    monkeypatch.setattr(seasons, "sell", sell_to_more)
    other = seasons.run()
    assert turned_away > 3000
    assert sum(row.turned_away for row in other.truth) - sum(row.turned_away for row in season.truth) == turned_away
    for path in write_sheets(tmp_path, other):
        assert path.read_bytes() == (DEMO / "sheets" / path.name).read_bytes(), path.name
    assert csv_text(other) == csv_text(season)
