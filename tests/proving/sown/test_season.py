"""Weeks of sowing and selling: what the farm earns, and that nobody earns what was not there."""

import pytest

from farmops.core.sizing import Kept
from farmops.proving.sown.farm import KEEP_LOSS
from farmops.proving.sown.luck import NONE, Spreads
from farmops.proving.sown.policies import ByPlan
from farmops.proving.sown.season import ALMOST, _keep, share_kept
from farmops.proving.sown.views import ByTheTable, Knowing
from tests.proving.sown.small import small_season

PLAYED = range(14)


def profit(season, view, weeks=PLAYED):
    return sum(week.profit for week in season.play(season.start(), ByPlan(season.farm, view), weeks))


def test_who_goes_by_a_table_that_is_true_earns_what_the_clairvoyant_earns():
    season = small_season(NONE)
    by_table = profit(season, ByTheTable(season.farm, season.draw))
    assert by_table == pytest.approx(profit(season, Knowing(season.farm, season.draw, season.luck)), abs=1.0)
    assert by_table > 200


def test_growth_that_nobody_foresees_costs_and_the_clairvoyant_loses_less():
    season = small_season(Spreads())
    assert profit(season, Knowing(season.farm, season.draw, season.luck)) > profit(
        season, ByTheTable(season.farm, season.draw)
    )


def test_a_week_is_its_sales_less_its_costs_and_no_more_is_sold_than_grew():
    season = small_season(Spreads())
    weeks = season.play(season.start(), ByPlan(season.farm, ByTheTable(season.farm, season.draw)), PLAYED)
    dearest = max(crop.price for crop in season.farm.crops)
    for week in weeks:
        assert 0 <= week.sold <= week.wanted + 1e-6
        assert 0 <= week.failed <= week.promised
        assert week.profit <= dearest * week.sold
    assert sum(week.sold for week in weeks) <= sum(week.grown for week in weeks) + 1e-6
    assert weeks[0].expected_parts == 0 == weeks[0].changed  # nothing was planned before


def test_who_sows_nothing_pays_for_the_promises_alone():
    season = small_season(NONE)

    class Idle(ByPlan):
        def decide(self, state, week):
            decision = super().decide(state, week)
            return type(decision)({}, decision.plan)

    idle = Idle(season.farm, ByTheTable(season.farm, season.draw))
    weeks = season.play(season.start(), idle, range(10))
    owed = [
        sum(season.farm.promised(at, week) * crop.price for at, crop in enumerate(season.farm.crops))
        for week in range(10)
    ]
    assert [week.profit for week in weeks] == pytest.approx([-amount for amount in owed])
    assert sum(owed) > 0


def test_what_keeps_loses_its_share_and_ages():
    state = small_season().start()
    state.stock = {0: [3.0, 5.0]}  # 3 to be used this week, 5 that keep one week more
    # Of 8 old and 10 fresh, 9 are left: the 9 fresh that were not needed.
    _keep(state, 0, 2, 9.0, 10.0)
    assert state.stock[0] == pytest.approx([0.0, 9 * (1 - KEEP_LOSS)])
    state.stock = {0: [3.0, 5.0]}
    # Nothing cut, 6 left: of the 5 that keep longer all are left, the sixth is over.
    _keep(state, 0, 2, 6.0, 0.0)
    assert state.stock[0] == pytest.approx([5 * (1 - KEEP_LOSS), 0.0])


def test_a_cutting_given_up_counts_from_when_the_planting_stands_for_it():
    class Planting:
        first = None

    planting = Planting()
    line = Kept("mint", (1.0, 0.25, 0.0), "key")
    assert share_kept(line, planting) == 1.0 > ALMOST
    planting.first = 3
    assert share_kept(line, planting) == 0.25
