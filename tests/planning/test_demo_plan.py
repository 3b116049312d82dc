"""The invented farm's sheets, planned: whole parts, nothing over-full on any day, no want met that was not made."""

from collections import defaultdict
from datetime import date
from pathlib import Path

import pytest

from farmops.core.sizing import Settings, solve
from farmops.exchange.sheets.read import read_folder
from farmops.planning.picking import pick_list
from farmops.planning.sowing import plan_sowings

SHEETS = Path(__file__).resolve().parents[2] / "fixtures/demo/sheets"


@pytest.fixture(scope="module")
def answer():
    return plan_sowings(read_folder(SHEETS), date(2026, 9, 6), Settings(explain=False), solve)


@pytest.fixture(scope="module")
def tuesday():
    return pick_list(read_folder(SHEETS), date(2026, 9, 8), solver=solve)


def test_a_week_of_the_invented_farm(answer):
    assert answer.plan.gap <= 0.01
    assert answer.over_full == ()
    this_week = [line for line in answer.lines if line.week == 0]
    assert this_week != []
    assert [line for line in this_week if not line.is_whole or line.parts != round(line.parts)] == []
    assert [line for line in answer.lines if line.why.first_week <= line.week] == []
    assert [promise for promise in answer.promised if promise.met > float(promise.want.amount) + 1e-6] == []
    assert [sale for sale in answer.sales if sale.expected > min(sale.taken, sale.mean_demand * 1.2) + 1e-6] == []


def test_a_pick_list_of_the_invented_farm_holds_back_what_was_sprayed(tuesday):
    sprayed = {one.planting for one in tuesday.blocked}
    assert {source.planting for cut in tuesday.cuts for source in cut.sources} & sprayed == set()
    assert {one.until.isoformat() for one in tuesday.blocked} == {"2026-09-09T17:30:00-04:00"}


def test_the_pick_list_and_the_plan_serve_the_same_salads(answer, tuesday):
    planned, listed = defaultdict(float), defaultdict(float)
    for promise in answer.promised:
        if promise.want.item.startswith("salad mix") and promise.want.day <= date(2026, 9, 10):
            planned[promise.want.day, promise.want.outlet] += promise.met
    for line in tuesday.items:
        for want, got in zip(line.wants, line.got, strict=True):
            if line.item.item.startswith("salad mix") and want.kind != "market":
                listed[want.day, want.outlet] += float(got)
    assert {key: round(met, 3) for key, met in planned.items()} == listed
