"""What the keeper of a stall hands to somebody who is to say what to bring: records kept, and questions asked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypedDict


class Record(TypedDict):
    """One item on one market day as noted; times are HH:MM."""

    date: str
    market: str
    opens: str
    closes: str
    item: str
    category: str
    brought: int
    carried_in: int
    sold: int
    left: int
    sold_out: bool
    sold_out_at: str | None
    price: float
    weather: str | None
    cancelled: bool


class Ask(TypedDict):
    """What to bring of one item to one market day?"""

    date: str
    market: str
    opens: str
    closes: str
    item: str
    category: str
    price: float
    weather: str | None
    unit_cost: float
    leftover_value: float
    shelf_markets: int
    carry_loss: float
    carried_in: int
    guess: float | None


@dataclass(frozen=True, slots=True)
class Answer:
    """Fresh pieces to bring for each ask, and the mean demand expected (None where a policy has none)."""

    bring: tuple[int, ...]
    mean: tuple[float | None, ...]


Policy = Callable[[Sequence[Record], Sequence[Ask]], Answer]


def clock(minute: float) -> str:
    """HH:MM of a minute after midnight."""
    whole = round(minute)
    return f"{whole // 60:02d}:{whole % 60:02d}"
