"""Means, errors and goals of made-up scores."""

import pytest

from farmops.proving.sown.report import by_policy, goals, mean_of
from farmops.proving.sown.trial import Score


def scored(season, policy, profit, of, changed=None, room="tight"):
    return Score(room, season, policy, profit, of, 0.2, 0.6, 0.1, changed, 0.5)


SCORES = [
    scored(0, "clairvoyant", 100, 1.0),
    scored(0, "product", 90, 0.90, 0.1),
    scored(0, "same_every_week", 80, 0.80),
    scored(0, "last_year", 75, 0.75),
    scored(1, "clairvoyant", 200, 1.0),
    scored(1, "product", 188, 0.94, 0.2),
    scored(1, "same_every_week", 160, 0.80),
    scored(1, "last_year", 120, 0.60),
]


def test_a_mean_and_its_error():
    assert mean_of([1.0, 3.0, None]) == (2.0, 1.0)
    assert mean_of([2.0]) == (2.0, None)
    assert mean_of([None]) == (None, None)


def test_a_row_for_each_policy():
    rows = {row["policy"]: row for row in by_policy(SCORES)}
    assert list(rows) == ["clairvoyant", "product", "same_every_week", "last_year"]
    assert (rows["product"]["of_clairvoyant"], rows["product"]["of_clairvoyant_error"]) == (0.92, 0.02)
    assert (rows["product"]["changed"], rows["clairvoyant"]["changed"]) == (0.15, None)


def test_goals_compare_season_by_season():
    found = {one["goal"]: one for one in goals(SCORES)}
    assert len(found) == 4  # of the tight room alone
    share, same, last, changed = found.values()
    assert (share["value"], share["reached"]) == (0.92, True)
    assert same["value"] == pytest.approx((90 / 80 + 188 / 160) / 2 - 1, abs=1e-4)
    assert (last["value"], last["reached"]) == (pytest.approx((90 / 75 + 188 / 120) / 2 - 1, abs=1e-4), True)
    assert (changed["limit"], changed["value"], changed["reached"]) == (0.15, 0.15, True)
