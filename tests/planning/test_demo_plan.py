"""The invented farm's sheets, planned: whole parts, nothing over-full on any day, no want met that was not made."""

from datetime import date
from pathlib import Path

from farmops.core.sizing import Settings, solve
from farmops.exchange.sheets.read import read_folder
from farmops.planning.picking import pick_list
from farmops.planning.sowing import plan_sowings

SHEETS = Path(__file__).resolve().parents[2] / "fixtures/demo/sheets"


def test_a_week_of_the_invented_farm():
    rows = read_folder(SHEETS)
    answer = plan_sowings(rows, date(2026, 9, 6), Settings(explain=False), solve)
    assert answer.plan.gap <= 0.01
    assert answer.over_full == ()
    this_week = [line for line in answer.lines if line.week == 0]
    assert this_week != []
    assert [line for line in this_week if not line.is_whole or line.parts != round(line.parts)] == []
    assert [line for line in answer.lines if line.why.first_week <= line.week] == []
    assert [promise for promise in answer.promised if promise.met > float(promise.want.amount) + 1e-6] == []
    assert [sale for sale in answer.sales if sale.expected > min(sale.taken, sale.mean_demand * 1.2) + 1e-6] == []


def test_a_pick_list_of_the_invented_farm_holds_back_what_was_sprayed():
    answer = pick_list(read_folder(SHEETS), date(2026, 9, 8))
    sprayed = {one.planting for one in answer.blocked}
    assert {source.planting for cut in answer.cuts for source in cut.sources} & sprayed == set()
    assert {one.until.isoformat() for one in answer.blocked} == {"2026-09-09T17:30:00-04:00"}
