from dataclasses import replace

import pytest

from farmops.proving.habits import HABITS
from farmops.proving.season_play import by_knowing
from farmops.proving.seasons import sowing, sowing_world, try_world
from farmops.proving.worlds import WORLDS
from farmops.proving.worlds.draws import draw_season
from farmops.proving.worlds.notebook import Answer

SMALL = WORLDS["corner_stand"]


def watching(seen):
    """A policy that brings ten of everything and keeps what it was shown."""

    def policy(records, asks):
        seen.append((list(records), list(asks)))
        return Answer((10,) * len(asks), (10.0,) * len(asks))

    return policy


def test_scores_are_the_same_again_and_do_not_hang_on_the_company():
    alone = try_world(SMALL, 0, 4, {"a": HABITS["up_when_sold_out"]}, ("closed_loop", "take_over"), weeks=27)
    company = {"b": HABITS["average_of_last_four"], "a": HABITS["up_when_sold_out"]}
    among = try_world(SMALL, 0, 4, company, ("closed_loop", "take_over"), weeks=27)
    mine = [one for one in among if one.policy in {"a", "short_habit"}]
    assert sorted(mine, key=repr) == sorted(alone, key=repr)
    assert {one.test for one in alone} == {"closed_loop", "first_weeks", "habit_before", "take_over"}


def test_a_policy_sees_only_days_before_the_one_asked_about():
    seen = []
    try_world(WORLDS["town_square"], 0, 4, {"a": watching(seen)}, ("closed_loop",), weeks=6)
    assert len(seen) >= 10
    for records, asks in seen:
        assert len({ask["date"] for ask in asks}) == 1
        assert all(record["date"] < asks[0]["date"] for record in records)


def test_taking_over_shows_twenty_weeks_and_without_times_none_is_ever_noted():
    seen = []
    try_world(SMALL, 0, 4, {"a": watching(seen)}, ("take_over_untimed",), weeks=26)
    first = seen[0][0]
    assert len({record["date"] for record in first}) in {19, 20}
    assert any(record["sold_out"] for record in first)
    assert all(record["sold_out_at"] is None for records, _ in seen for record in records)


def test_told_the_truth_nothing_ever_runs_out():
    seen = []
    try_world(SMALL, 0, 4, {"a": watching(seen)}, ("truth_told",), weeks=10)
    lines = [record for records, _ in seen for record in records if not record["cancelled"]]
    assert not any(record["sold_out"] or record["left"] <= 0 for record in lines)
    assert max(record["sold"] for record in lines) > 10


def test_taking_over_with_the_truth_told_is_the_mark_to_reach():
    seen = []
    scores = try_world(SMALL, 0, 4, {"a": watching(seen)}, ("truth_told",), weeks=26)
    assert [one.test for one in scores] == ["truth_told", "take_over_truth_told"]
    records, _ = seen[-1]
    assert not any(record["sold_out"] for record in records)
    assert scores[1].efficiency < 1


def test_sowing_asks_weeks_ahead_without_weather_and_once_a_week():
    seen = []
    draw = draw_season(sowing_world(WORLDS["town_square"]), 1, 0, (*range(12), *range(52, 64)))
    scores = sowing(draw, 0, {"a": watching(seen)}, 8)
    assert {one.test for one in scores} == {"sowing_year_1", "sowing_year_1_once_seen", "sowing_year_2"}
    assert len(seen) == len({day.week for day in draw.days if not day.called_off})
    for records, asks in seen:
        dates = {day.day.isoformat(): day.week for day in draw.days}
        asked = {dates[ask["date"]] for ask in asks}
        assert len(asked) == 1
        assert all(dates[record["date"]] <= min(asked) - 8 for record in records)
        assert {ask["weather"] for ask in asks} == {None}
    shown = {len(records) for records, _ in seen}
    assert min(shown) == 0 < max(shown)


@pytest.mark.parametrize("name", ["corner_stand", "price_board"])
def test_who_knows_scores_one(name):
    def knowing(draw):
        decide = by_knowing(draw, draw.days)
        days = {day.day.isoformat(): (at, day) for at, day in enumerate(draw.days)}
        return lambda records, asks: decide(*days[asks[0]["date"]], None)

    world = WORLDS[name]
    draw = draw_season(world, 4, 0, tuple(range(8)))
    score = try_world(world, 0, 4, {"a": knowing(draw)}, ("closed_loop",), weeks=8)[0]
    assert (score.efficiency, score.mean_ratio, score.mean_error) == pytest.approx((1, 1, 0))


def test_a_sowing_carries_nothing_over_and_knows_no_prices_to_come():
    world = sowing_world(WORLDS["hardy_leaves"])
    assert {item.shelf_markets for item in world.items} == {1}
    assert sowing_world(WORLDS["price_board"]) == replace(WORLDS["price_board"], weather_told=False, price_moves=0.0)
