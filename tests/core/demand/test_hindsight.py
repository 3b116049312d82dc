"""What hindsight takes off and adds: by the market's share of sell-outs, and never less for more days."""

from datetime import date, timedelta

import numpy as np
import pytest

from farmops.core.demand.exposure import day_seen
from farmops.core.demand.hindsight import LINE_SD, SHARED_SD, lean, never_known
from farmops.core.demand.records import MarketRecord


def days(market: str, ran_out: list[bool]):
    return [
        day_seen(
            MarketRecord(
                date(2026, 5, 2) + timedelta(weeks=at),
                market,
                "basil",
                brought=20,
                left=0 if out else 5,
                ran_out=out,
                ran_out_at=(600,) if out else (),
            )
        )
        for at, out in enumerate(ran_out)
    ]


def test_the_lean_grows_with_the_share_of_the_market_that_ran_out():
    seen = [*days("calm", [False, False, False, True]), *days("busy", [True, True, True, True])]
    factor = lean(seen)
    # by hand: exp(-(.04 + .28 / 4)) and exp(-(.04 + .28))
    assert factor[:4] == pytest.approx([0.895834] * 4, abs=1e-6)
    assert factor[4:] == pytest.approx([0.726149] * 4, abs=1e-6)


def test_what_is_never_known_does_not_cancel_over_the_days_of_one_item():
    one = days("busy", [True] * 4)
    amount = np.array([3.0, 1.0, 2.0, 4.0])
    assert never_known(one, amount) == pytest.approx((LINE_SD**2 + SHARED_SD**2) * 100)


def test_over_unlike_markets_only_the_shared_part_stays():
    several = [day for number in range(25) for day in days(f"market {number}", [True])]
    amount = np.ones(25)
    assert never_known(several, amount) == pytest.approx(LINE_SD**2 * 25 + SHARED_SD**2 * 625)
