"""What running out and compost cost."""

import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from farmops.core.demand import Economics, LookingBack, MarketRecord, learn, looking_back
from farmops.core.demand.exposure import day_seen
from farmops.core.demand.hindsight import LEAN_AT_LEAST, LEAN_WITH_RUNNING_OUT
from tests.core.demand.notebooks import NEXT, row, season, similar_items

PRICES = Economics(price=3.0, unit_cost=1.0, leftover_value=0.2)


def back(records: list[MarketRecord], **prices: float) -> LookingBack:
    learned = learn(records, as_of=max(one.day for one in records))
    own = replace(PRICES, **prices)
    return looking_back(learned, records, {(one.market, one.item): own for one in records})


def test_days_with_enough_turn_nobody_away():
    seen = back(similar_items())
    assert seen.total.lost.mean == 0.0
    left = sum(one.left or 0 for one in similar_items())
    assert seen.total.left == left
    assert seen.total.compost.mean == pytest.approx(left * 0.8)
    assert (seen.total.compost.low, seen.total.compost.high) == (seen.total.compost.mean, seen.total.compost.mean)


def test_what_was_given_away_is_left_but_not_charged():
    records = similar_items()
    given = [replace(one, not_wasted=(one.left or 0) // 2) for one in records]
    plain, kind = back(records), back(given)
    assert kind.total.left == plain.total.left
    wasted = sum((one.left or 0) - one.not_wasted for one in given)
    assert kind.total.compost.mean == pytest.approx(wasted * 0.8) != plain.total.compost.mean


def test_what_a_sold_out_day_turned_away():
    """The day's rate is Gamma(k + y, k/mean + e): 10 sold by half time of a herb whose mean is about 20."""
    own = row(9, "herb 0", brought=10, sold=10, left=0, ran_out=True, ran_out_at=(630,), day=NEXT)
    records = [*similar_items(), own]
    learned = learn(records, as_of=NEXT)
    assert learned.fit is not None
    day = next(
        one
        for one in looking_back(learned, records, {("Saturday", f"herb {at}"): PRICES for at in range(7)}).days
        if one.record == own
    )
    k = learned.fit.k
    expected = (1 - day.exposure) * (k + 10) / (k / day.usual + day.exposure)
    known = sum(seen.sold is not None for seen in map(day_seen, records))
    expected *= math.exp(-(LEAN_AT_LEAST + LEAN_WITH_RUNNING_OUT / known))  # the one day that ran out
    assert day.exposure == pytest.approx(0.57562, abs=1e-5)
    assert day.turned_away == pytest.approx(expected, rel=1e-9)
    assert day.lost == pytest.approx(2.0 * day.turned_away)
    assert day.turned_away_range.low < day.turned_away < day.turned_away_range.high
    assert day.marks == ()


def test_unknown_time_and_gone_at_once_are_marked():
    records = [
        *similar_items(),
        row(9, brought=15, sold=15, left=0, ran_out=True),
        row(8, brought=2, sold=2, left=0, ran_out=True, ran_out_at=(483,)),
        row(7, brought=20, sold=12, left=8, left_at=700),
        row(6, brought=20, sold=12, left=5),
        row(5, brought=20, sold=None, left=None),
    ]
    marks = {one.record.day: one.marks for one in back(records).days if one.record.item == "basil"}
    assert [marks[day] for day in sorted(marks)] == [
        ("sold not known",),
        ("does not balance",),
        ("left early",),
        ("gone at once",),
        ("time unknown",),
    ]


def test_sums_hold_together():
    seen = back(season(6))
    assert seen.total.turned_away.mean == pytest.approx(sum(day.turned_away for day in seen.days))
    for parts in (seen.lines, seen.markets, seen.items):
        assert sum(part.lost.mean for part in parts.values()) == pytest.approx(seen.total.lost.mean)
        assert sum(part.days for part in parts.values()) == seen.total.days
    assert seen.total.lost.low < seen.total.lost.mean < seen.total.lost.high
    assert seen.total.untimed == sum(day.record.ran_out and not day.record.ran_out_at for day in seen.days)


def test_days_of_one_item_err_together():
    """The range of a sum is wider than if its days knew nothing of each other."""
    seen = back(season(6))
    alone = sum(((day.turned_away_range.high - day.turned_away_range.low) / 2) ** 2 for day in seen.days)
    assert (seen.total.turned_away.high - seen.total.turned_away.low) / 2 > np.sqrt(alone) * 0.95


def test_the_range_covers_what_really_was_turned_away():
    """Twelve drawn seasons with their true demand known: about 80 % of the sums lie within the 80 % range."""
    inside = 0
    for seed in range(12):
        records, missed = season_with_truth(seed)
        total = back(records).total.turned_away
        inside += total.low <= missed <= total.high
    assert inside >= 7


def season_with_truth(seed: int) -> tuple[list[MarketRecord], int]:
    rng = np.random.default_rng(seed)
    records, missed = [], 0
    for number, mean in enumerate(rng.uniform(10, 30, 5)):
        for week in range(20):
            wanted = int(rng.poisson(mean * rng.gamma(8, 1 / 8)))
            brought = max(1, int(mean * rng.uniform(0.6, 1.2)))
            sold = min(wanted, brought)
            missed += wanted - sold
            at = (480 + int(300 * np.sort(rng.beta(1.4, 1.9, wanted))[brought - 1]),) if wanted >= brought else ()
            one = row(week, f"item {number}", brought=brought, sold=sold, left=brought - sold, ran_out_at=at)
            records.append(replace(one, ran_out=bool(at), day=NEXT + timedelta(weeks=week)))
    return records, missed
