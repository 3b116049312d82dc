"""Fitting in turn: that the short cuts lead where the plain way leads."""

from datetime import timedelta

import numpy as np
import pytest

from farmops.core.demand import fitting, learn
from farmops.core.demand.factors import WANDER_FARM_SD, WANDER_ITEM_SD
from farmops.core.demand.fitting import Fit
from farmops.core.demand.pooled import log_means
from tests.core.demand.notebooks import season


def fitted(seed: int) -> Fit:
    records = season(seed, weeks=30, items=5)
    fit = learn(records, as_of=max(one.day for one in records) + timedelta(days=1)).fit
    assert fit is not None
    return fit


class PlainSteps:
    """Goes where each step leads, never further."""

    def further(self, here: float, there: float) -> float:
        return there


@pytest.mark.parametrize("seed", [1, 2])
def test_long_steps_end_where_many_plain_ones_end(seed, monkeypatch):
    short = fitted(seed)
    monkeypatch.setattr(fitting, "_Pace", PlainSteps)
    monkeypatch.setattr(fitting, "MOST_ROUNDS", 400)
    monkeypatch.setattr(fitting, "CLOSE_ENOUGH", 1e-7)
    monkeypatch.setattr(fitting, "CROWD_CLOSENESS", 1.0)
    plain = fitted(seed)
    assert log_means(short.table, short.values) == pytest.approx(log_means(plain.table, plain.values), abs=4e-3)
    assert short.k == pytest.approx(plain.k, rel=6e-3)
    assert short.crowds.bins() == pytest.approx(plain.crowds.bins(), abs=1e-3)
    assert short.wander == pytest.approx(plain.wander, abs=5e-4)


def test_wandering_balances_what_is_seen_and_what_is_not_known(monkeypatch):
    monkeypatch.setattr(fitting, "MOST_ROUNDS", 400)
    monkeypatch.setattr(fitting, "CLOSE_ENOUGH", 1e-8)
    records = season(3, weeks=30, items=5)
    learned = learn(records, as_of=max(one.day for one in records))
    fit, layout = learned.fit, learned.layout
    assert fit is not None
    own, shared = layout.own_wander, layout.shared_wander
    unknown = np.array(
        [
            [
                fit.covariance.variance(item, np.eye(layout.item_width)[at], np.zeros(layout.shared_width))
                for at in range(own.start, own.stop)
            ]
            for item in range(len(layout.items))
        ]
    )
    for steps, variance, wander, first in (
        (fit.values.own[:, own], unknown, fit.wander[1], WANDER_ITEM_SD),
        (fit.values.shared[shared], fit.covariance.shared.diagonal()[shared], fit.wander[0], WANDER_FARM_SD),
    ):
        seen = np.sum((steps**2 + variance) / layout.gaps) + fitting.WANDER_PRIOR * first**2
        assert wander**2 == pytest.approx(seen / (steps.size + fitting.WANDER_PRIOR), rel=1e-4)


def test_pace_lengthens_steps_that_lead_to_their_like():
    pace, here = fitting._Pace(), 2.0
    for _ in range(4):  # a plain step goes a fifth of the way to 3
        here = pace.further(here, here + 0.2 * (3.0 - here))
    assert here == pytest.approx(3.0, abs=0.02)
    assert fitting._Pace().further(2.0, 2.2) == pytest.approx(2.2)
