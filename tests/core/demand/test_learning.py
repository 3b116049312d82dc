"""Learning from all records: properties that must hold, and failures that must not pass unseen."""

import pickle
import random
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farmops.core.demand import Ask, MarketRecord, advise_all, fitting, forecast, learn
from farmops.core.demand.exposure import day_arrays, day_seen
from farmops.core.demand.factors import Priors
from farmops.core.demand.pooled import Coefficients, Table, log_means, newton_step, slopes
from tests.core.demand.notebooks import FIRST, NEXT, row, season, similar_items


def asks(records: list[MarketRecord]) -> list[Ask]:
    after = max(one.day for one in records) + timedelta(days=3)
    pairs = sorted({(one.market, one.item, one.category) for one in records})
    return [Ask(after, market, item, category, price=3.0, unit_cost=1.0) for market, item, category in pairs]


@settings(max_examples=8)
@given(seed=st.integers(0, 1000), shuffle=st.integers(0, 1000))
def test_order_of_records_and_asks_does_not_matter(seed, shuffle):
    records = season(seed, weeks=7)
    questions = asks(records)
    as_of = max(one.day for one in records)
    here = {
        (one.ask.market, one.ask.item): (one.fresh, one.forecast.mean)
        for one in advise_all(learn(records, as_of=as_of), questions)
    }
    rng = random.Random(shuffle)
    rng.shuffle(records)
    rng.shuffle(questions)
    there = {
        (one.ask.market, one.ask.item): (one.fresh, one.forecast.mean)
        for one in advise_all(learn(records, as_of=as_of), questions)
    }
    assert there == here


def best_mean(days: list[MarketRecord], k: float) -> float:
    """Most probable mean of one item with dispersion and profile fixed."""
    arrays = day_arrays([day_seen(one) for one in days])
    n = len(days)
    table = Table(
        own=np.ones((n, 1)),
        shared=np.ones((n, 1)),
        item=np.zeros(n, dtype=np.int64),
        bounds=np.array([0, n]),
        sold=arrays.sold,
        is_untimed=arrays.is_untimed,
        weight=np.ones(n),
        offset=np.zeros(n),
    )
    priors = Priors(np.array([0.7]), np.array([np.log(15.0)]), np.array([1e-3]))
    exposure = arrays.exposure(np.full(20, 0.05))
    values = Coefficients(np.zeros((1, 1)), np.array([np.log(15.0)]))
    for _ in range(60):
        values, _, moved = newton_step(table, values, priors, slopes(table, log_means(table, values), exposure, k))
        if moved < 1e-9:
            break
    return float(np.exp(log_means(table, values)[0]))


@given(
    others=st.lists(st.tuples(st.integers(1, 40), st.floats(0.1, 1.0)), min_size=0, max_size=5),
    brought=st.integers(1, 40),
    more=st.integers(1, 20),
    minute=st.one_of(st.none(), st.integers(30, 290)),
    k=st.floats(1.0, 40.0),
)
def test_having_brought_more_on_a_sold_out_day_never_lowers_the_estimate(others, brought, more, minute, k):
    before = [row(at, brought=50, sold=sold, left=50 - sold) for at, (sold, _) in enumerate(others)]

    def with_day(count: int) -> float:
        at = () if minute is None else (480 + minute,)
        return best_mean([*before, row(9, brought=count, sold=count, left=0, ran_out=True, ran_out_at=at)], k)

    assert with_day(brought + more) >= with_day(brought) - 1e-7


def test_later_records_are_left_out():
    records = season(3, weeks=10)
    as_of = FIRST + timedelta(weeks=6)
    kept = [one for one in records if one.day <= as_of]
    assert len(kept) < len(records)
    ask = asks(records)[0]
    assert forecast(learn(records, as_of=as_of), ask).mean == forecast(learn(kept, as_of=as_of), ask).mean


def test_what_was_learned_can_be_pickled():
    learned = learn(season(4, weeks=6), as_of=NEXT)
    ask = asks(season(4, weeks=6))[0]
    again = pickle.loads(pickle.dumps(learned))  # noqa: S301  our own bytes
    assert forecast(again, ask).mean == forecast(learned, ask).mean


def test_nothing_known_still_answers():
    learned = learn([], as_of=NEXT)
    seen = forecast(learned, Ask(NEXT, "Saturday", "basil"))
    assert seen.origin == "similar items"
    assert not seen.is_pooled
    assert learned.failure == ""
    assert float(seen.probabilities.sum()) == pytest.approx(1.0)


def test_a_failed_fit_falls_back_and_says_so(monkeypatch):
    def fails(*_: object) -> None:
        raise np.linalg.LinAlgError("Singular matrix")

    monkeypatch.setattr(fitting, "newton_step", fails)
    learned = learn(similar_items(), as_of=NEXT)
    assert learned.failure == "Singular matrix"
    seen = forecast(learned, Ask(NEXT, "Saturday", "herb 1", "herbs"))
    assert not seen.is_pooled
    assert seen.mean == pytest.approx(seen.simple_mean)
    assert seen.mean == pytest.approx(20.0, abs=2.0)


def test_weeks_ahead_are_less_sure():
    records = season(5)
    learned = learn(records, as_of=max(one.day for one in records))
    ask = asks(records)[0]
    near, far = (forecast(learned, replace(ask, day=ask.day + timedelta(weeks=weeks))) for weeks in (0, 8))
    assert far.sd_log_mean > near.sd_log_mean
    assert far.mean_high / far.mean_low > near.mean_high / near.mean_low


def test_known_means_are_found_again():
    """A drawn season whose hidden means are known: 4 items of 64 days each, half of the days cut off."""
    records = season(11, weeks=32)
    rng = np.random.default_rng(11)
    means = rng.uniform(8, 35, 4)
    learned = learn(records, as_of=max(one.day for one in records))
    for ask in asks(records):
        seen = forecast(learned, replace(ask, weather="dry"))
        true = means[int(ask.item[-1])]
        assert abs(np.log(seen.mean / true)) < 0.3
        assert seen.origin == "history"


def test_profile_is_learned_from_eight_sell_outs_on():
    early = [
        row(week, f"herb {number}", brought=10, sold=10, left=0, ran_out=True, ran_out_at=(500 + 9 * week + number,))
        for week in range(4)
        for number in range(2)
    ]
    seven = learn(early[:7], as_of=NEXT)
    eight = learn(early, as_of=NEXT)
    assert seven.fit is not None
    assert eight.fit is not None
    assert (seven.fit.crowds.is_learned, eight.fit.crowds.is_learned) == (False, True)
