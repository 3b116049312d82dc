import json

import pytest

from farmops.proving.season_report import by_world, goals, overall, parameters, report
from farmops.proving.seasons import Score
from farmops.proving.worlds import WORLDS


def score(test, world, efficiency, *, policy="product", season=0):
    return Score(test, world, policy, season, efficiency, 1.1, 0.2, 0.6, 0.7, 0.5)


SCORES = [
    score("closed_loop", "a", 0.96),
    score("closed_loop", "a", 0.98, season=1),
    score("closed_loop", "b", 0.93),
    score("closed_loop", "b", 0.95, season=1),
    score("truth_told", "a", 0.98),
    score("truth_told", "a", 0.98, season=1),
    score("truth_told", "b", 0.94),
    score("truth_told", "b", 0.94, season=1),
    score("closed_loop", "a", 0.5, policy="habit"),
]


def test_worlds_have_means_and_standard_errors():
    row = next(
        row for row in by_world(SCORES) if row["world"] == "a" and row["test"] == "closed_loop" and row["seasons"] == 2
    )
    # by hand: mean 0.97; standard deviation 0.0141421, over the root of 2: 0.01
    assert (row["efficiency"], row["standard_error"]) == pytest.approx((0.97, 0.01))


def test_all_worlds_count_the_same_and_the_worst_is_named():
    row = next(row for row in overall(SCORES) if row["policy"] == "product" and row["test"] == "closed_loop")
    # by hand: (0.97 + 0.94) / 2; root of (0.01² + 0.01²) over 2
    assert (row["efficiency"], row["standard_error"]) == pytest.approx((0.955, 0.00707), abs=1e-5)
    assert (row["worst_world"], row["worst_efficiency"]) == ("b", 0.94)
    alone = next(row for row in overall(SCORES) if row["policy"] == "habit")
    assert alone["standard_error"] is None


def test_goals_say_reached_or_not():
    assert [(row["test"], row["over"], row["value"], row["reached"]) for row in goals(SCORES)] == [
        ("closed_loop", "mean", 0.955, False),
        ("closed_loop", "worst", 0.94, False),
        # by hand: a -0.02, 0; b -0.01, 0.01; mean -0.005
        ("truth_told", "mean", -0.005, True),
    ]


def test_each_world_whose_crowd_comes_late_is_a_goal_of_its_own():
    scores = [score("take_over", name, share) for name, share in [("fresh_4", 0.96), ("fresh_10", 0.94), ("a", 0.9)]]
    assert [(row["over"], row["value"], row["reached"]) for row in goals(scores)] == [
        # by hand: (0.96 + 0.94 + 0.9) / 3
        ("mean", 0.93333, False),
        ("fresh_4", 0.96, True),
        ("fresh_10", 0.94, False),
    ]


def test_the_report_is_plain_json_and_holds_every_parameter():
    answer = report(SCORES, [WORLDS["summer_guests"]], {"seed": 1})
    back = json.loads(json.dumps(answer, allow_nan=False))
    world = WORLDS["summer_guests"]
    assert back["worlds"][0]["items"][0]["season"] == {"peak": 30, "rise": 7, "fall": 5, "floor": 0.3}
    assert set(parameters(world)) == set(world.__dataclass_fields__)
    assert back["worlds"][0]["starts"] == "2025-04-07"
