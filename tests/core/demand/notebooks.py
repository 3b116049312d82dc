"""Invented notebooks for the tests of learning; every figure is made up."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from farmops.core.demand import Advice, Ask, MarketRecord, advise, learn

FIRST = date(2026, 4, 4)
WEEKS = 10
NEXT = FIRST + timedelta(weeks=WEEKS)
# Ten counts with mean 20 and the spread of a negative binomial with k about 8, in a fixed order.
TEN = (13, 27, 19, 22, 9, 24, 31, 17, 20, 18)


def row(week: int, item: str = "basil", **changes) -> MarketRecord:
    """One Saturday of the item."""
    return replace(MarketRecord(FIRST + timedelta(weeks=week), "Saturday", item, "herbs"), **changes)


def similar_items(count: int = 7) -> list[MarketRecord]:
    """Items like it with a mean of 20 that never ran out."""
    records = []
    for number in range(count):
        for week in range(WEEKS):
            sold = TEN[(week + 3 * number) % 10]
            records.append(row(week, f"herb {number}", brought=45, sold=sold, left=45 - sold))
    return records


def advice(own: Sequence[MarketRecord], **changes) -> Advice:
    """For the Saturday after, at critical ratio .75."""
    learned = learn([*similar_items(), *own], as_of=NEXT - timedelta(days=7))
    ask = Ask(NEXT, "Saturday", "basil", "herbs", price=3.0, unit_cost=0.75)
    return advise(learned, replace(ask, **changes))


def season(seed: int, weeks: int = 16, items: int = 4, timed: float = 0.8) -> list[MarketRecord]:
    """A plain drawn season with two markets: some days run out, some times are not noted, some days are rainy."""
    rng = np.random.default_rng(seed)
    means = rng.uniform(8, 35, items)
    records = []
    for week in range(weeks):
        for market, offset in (("Saturday", 0), ("Wednesday", 4)):
            rainy = rng.random() < 0.25
            for number in range(items):
                wanted = int(rng.poisson(means[number] * rng.gamma(8, 1 / 8) * (0.8 if rainy else 1.0)))
                brought = max(1, int(means[number] * rng.uniform(0.7, 1.4)))
                sold = min(wanted, brought)
                at: tuple[int, ...] = ()
                if wanted >= brought and rng.random() < timed:
                    at = (480 + int(300 * np.sort(rng.beta(1.5, 2.0, wanted))[brought - 1]),)
                records.append(
                    MarketRecord(
                        FIRST + timedelta(weeks=week, days=offset),
                        market,
                        f"item {number}",
                        "greens" if number % 2 else "herbs",
                        brought=brought,
                        sold=sold,
                        left=brought - sold,
                        ran_out=wanted >= brought,
                        ran_out_at=at,
                        price=3.0,
                        weather="rain" if rainy else "dry",
                    )
                )
    return records
