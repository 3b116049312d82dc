"""Who the product is compared with: two habits of growers, and somebody who knows each day's demand distribution."""

from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache
from math import ceil

import numpy as np
import numpy.typing as npt

from farmops.proving.worlds.draws import ItemDay
from farmops.proving.worlds.notebook import Answer, Ask, Policy, Record
from farmops.proving.worlds.parts import Item

FIRST_QUANTITY = 20.0  # of somebody without a guess [pieces]
Floats = npt.NDArray[np.float64]


def _past(records: Sequence[Record]) -> dict[tuple[str, str], list[Record]]:
    """Records of markets that took place, by market and item, in order of date."""
    past: dict[tuple[str, str], list[Record]] = defaultdict(list)
    for record in sorted(records, key=lambda one: one["date"]):
        if not record["cancelled"]:
            past[record["market"], record["item"]].append(record)
    return past


def _fresh(total: float, ask: Ask) -> int:
    """At least one piece stands on the table, so that a habit never ends an item for good."""
    return max(0, max(1, round(total)) - ask["carried_in"])


def _rounded_up(total: float) -> int:
    """ "A little more" is one more at least: rounding to the nearest would make a habit of 5 % stand still."""
    return ceil(total - 1e-9)


def average_of_last_four(records: Sequence[Record], asks: Sequence[Ask]) -> Answer:
    """Bring what was sold, on average, at the last four markets."""
    past = _past(records)
    bring = []
    for ask in asks:
        sold = [record["sold"] for record in past[ask["market"], ask["item"]][-4:]]
        bring.append(_fresh(sum(sold) / len(sold) if sold else ask["guess"] or FIRST_QUANTITY, ask))
    return Answer(tuple(bring), (None,) * len(bring))


def up_when_sold_out(records: Sequence[Record], asks: Sequence[Ask]) -> Answer:
    """Sold out: bring 20 % more than last time. Else: 5 % more than was sold."""
    past = _past(records)
    bring = []
    for ask in asks:
        total = ask["guess"] or FIRST_QUANTITY
        if before := past[ask["market"], ask["item"]]:
            last = before[-1]
            total = 1.2 * (last["brought"] + last["carried_in"]) if last["sold_out"] else 1.05 * last["sold"]
            total = _rounded_up(total)
        bring.append(_fresh(total, ask))
    return Answer(tuple(bring), (None,) * len(bring))


HABITS: dict[str, Policy] = {"average_of_last_four": average_of_last_four, "up_when_sold_out": up_when_sold_out}


def critical_share(price: float, cost: float, leftover: float) -> float:
    """Share of days on which the whole demand should be met, in [0, 1]."""
    return (price - cost) / (price - leftover)


def knowing_quantity(drawn: ItemDay, item: Item) -> int:
    """Best stock of an item that is gone after the day, by the day's own distribution."""
    share = critical_share(drawn.price, item.cost, item.leftover)
    if share <= 0:
        return 0
    return int(drawn.book[min(len(drawn.book) - 1, int(np.ceil(share * len(drawn.book))) - 1)])


class KnowingCarry:
    """Best fresh quantities of one hardy item over its coming days, whatever is carried in: dynamic programming.

    The state is what is carried in from the market before; customers take that first; what is left of the fresh part
    loses a share and is carried in once; what is left at the end is worth `leftover`.
    """

    def __init__(self, item: Item, days: Sequence[ItemDay]) -> None:
        self.fresh: list[npt.NDArray[np.int64]] = []  # for each day: best fresh quantity by carried in
        top = max(int(day.book[-1]) for day in days) + 1
        worth = item.leftover * np.arange(top + 1, dtype=np.float64)
        for day in reversed(days):
            best, worth = _one_day_back(item, day, worth, top)
            self.fresh.append(best)
        self.fresh.reverse()

    def quantity(self, day: int, carried: int) -> int:
        return int(self.fresh[day][min(carried, len(self.fresh[day]) - 1)])


def _one_day_back(item: Item, day: ItemDay, worth: Floats, top: int) -> tuple[npt.NDArray[np.int64], Floats]:
    """Best fresh quantity and expected worth for each count carried in, shapes (top + 1,)."""
    demand, counts = np.unique(day.book, return_counts=True)
    chance = counts / counts.sum()
    best, value = np.zeros(top + 1, dtype=np.int64), np.zeros(top + 1)
    enough = int(demand[-1]) + 1
    for carried in range(top + 1):
        fresh = np.arange(0, max(1, enough - carried) + 1)[:, None]
        sold = np.minimum(demand, carried + fresh)
        stale = np.maximum(0, carried - demand)
        over = carried + fresh - sold - stale
        profit = day.price * sold - item.cost * fresh + item.leftover * stale + worth[carried_on(item, over)]
        expected = profit @ chance
        best[carried] = int(np.argmax(expected))
        value[carried] = expected[best[carried]]
    return best, value


def carried_on(item: Item, left_of_fresh: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Pieces of today's fresh leftovers that can be sold at the next market."""
    table = _carried_table(item.carry_loss, int(np.max(left_of_fresh, initial=0)))
    on: npt.NDArray[np.int64] = table[left_of_fresh]
    return on


@lru_cache(maxsize=512)
def _carried_table(loss: float, top: int) -> npt.NDArray[np.int64]:
    kept: Floats = np.floor((1 - loss) * np.arange(top + 1) + 0.5 + 1e-9)
    return kept.astype(np.int64)
