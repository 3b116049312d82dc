"""One item on one market day of the invented farm: customers come, the table empties, the van is fetched."""

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sold:
    """What happened; `turned_away` is hidden: nobody at the stall counts those who leave with nothing."""

    sold: int
    left: int
    empty_at: tuple[float, ...]  # [min after midnight]
    fetched_at: float | None
    turned_away: int


def sell(customers: Sequence[tuple[float, int]], on_table: int, in_van: int, fetch_minutes: float) -> Sold:
    """Sell in order of coming. What is in the van is fetched once, so many minutes after the table is empty."""
    sold = turned_away = 0
    empty_at: list[float] = []
    fetch_at, fetched_at = math.inf, None
    for minute, wish in customers:
        if in_van and minute >= fetch_at:
            on_table, in_van, fetched_at = in_van, 0, fetch_at
        taken = min(wish, on_table)
        turned_away += wish - taken
        sold += taken
        on_table -= taken
        if taken and not on_table:
            empty_at.append(minute)
            fetch_at = minute + fetch_minutes if in_van else fetch_at
    return Sold(sold, on_table + in_van, tuple(empty_at), fetched_at, turned_away)
