"""Habits of sowing, by hand."""

from collections import defaultdict

import pytest

from farmops.core.sizing import Heads
from farmops.proving.sizing_farms import sowing_of
from farmops.proving.sown.policies import (
    Constant,
    LastYear,
    Newsvendor,
    Rounded,
    best_quantity,
    first_week,
    fitting,
    items_of_a_part,
    place_weeks,
)
from farmops.proving.sown.views import ByTheTable
from tests.proving.sown.small import small_season


def test_fractions_add_up_to_whole_parts():
    rounded = Rounded()
    assert [rounded.whole(0, 0.4) for _week in range(10)] == [0, 1, 0, 1, 0, 0, 1, 0, 1, 0]
    assert [rounded.whole(1, 1.0) for _week in range(3)] == [1, 1, 1]


def test_a_part_gives_what_survives_over_all_its_cuttings():
    season = small_season()
    heads, cut = season.farm.crops[:2]
    assert items_of_a_part(season.farm, 0, 24) == pytest.approx(64 * 0.9 * 0.97 * heads.survives)
    assert items_of_a_part(season.farm, 1, 24) == pytest.approx(64 * 0.9 * cut.survives * 0.3 * 2.4)


def test_a_constant_sowing_fills_no_more_than_the_room_and_grows_no_item_beyond_its_need():
    season = small_season()
    wanted = {0: 9.0, 1: 9.0, 2: 0.01}
    parts = fitting(season.farm, wanted)
    used = defaultdict(float)
    for item, count in parts.items():
        for kind, places in place_weeks(sowing_of(season.farm.crops[item], 0, 13)).items():
            used[kind] += count * places
    assert all(used[kind] <= season.farm.places[kind] + 1e-6 for kind in used)
    assert max(used[kind] / season.farm.places[kind] for kind in used) == pytest.approx(1.0)
    assert all(parts[item] <= wanted[item] for item in parts)
    assert fitting(season.farm, dict.fromkeys(wanted, 0.001)) == dict.fromkeys(wanted, 0.001)


def test_last_year_goes_by_the_sales_of_the_week_it_comes_to():
    season = small_season()
    state, view = season.start(), ByTheTable(season.farm, season.draw)
    ready = first_week(sowing_of(season.farm.crops[0], 10, 0))
    state.sales[0, ready - 52] = 2 * items_of_a_part(season.farm, 0, 10)
    state.sales[0, ready - 53] = 999.0
    assert LastYear(season.farm, view).decide(state, 10).parts == {0: 2.0, 1: 0.0, 2: 0.0}


def test_the_newsvendor_meets_all_demand_on_the_share_of_days_that_pays():
    season = small_season()
    view = ByTheTable(season.farm, season.draw)
    market = view.markets(0, 20)
    assert best_quantity(view, 0, 20, 0.999) == sum(piece.quantity for one in market for piece in one.pieces)
    assert best_quantity(view, 0, 20, 0.0) == 0.0
    assert 0 < best_quantity(view, 0, 20, 0.5) < best_quantity(view, 0, 20, 0.9)


def test_the_newsvendor_sows_only_what_fits_and_not_what_is_coming():
    season = small_season()
    state, view = season.start(), ByTheTable(season.farm, season.draw)
    policy = Newsvendor(season.farm, view)
    parts = policy.decide(state, 20).parts
    shelf = sum(parts.values()) * 0.5
    assert 0 < shelf <= season.farm.places["shelf"]
    state.house.begin(20)
    assert state.house.sow(20, parts) == {item: count for item, count in parts.items() if count}
    again = policy.decide(state, 20).parts
    earned = {item for item, crop in enumerate(season.farm.crops) if parts[item] and crop.grows == "heads"}
    assert all(again[item] <= 1 for item in earned)


def test_a_constant_farm_sows_every_week_alike():
    season = small_season()
    view = ByTheTable(season.farm, season.draw)
    policy = Constant(season.farm, view, {0: 30.0, 1: 20.0, 2: 10.0})
    weeks = [policy.decide(season.start(), week).parts for week in range(4)]
    for item, each in policy.parts.items():
        assert abs(sum(parts[item] for parts in weeks) - 4 * each) <= 0.5 + 1e-9


def test_first_weeks():
    season = small_season()
    sowing = sowing_of(season.farm.crops[0], 0, 24)
    assert isinstance(sowing.harvest, Heads)
    assert first_week(sowing) == sowing.harvest.ready
    cut = sowing_of(season.farm.crops[1], 0, 24)
    assert first_week(cut) == cut.harvest.blocks[0].harvests[0][0]
