"""What the sizing programme answers."""

from __future__ import annotations

from dataclasses import dataclass

from .problem import Rule


@dataclass(frozen=True, slots=True)
class Sown:
    """Parts of one sowing. whole: false in weeks where parts may still be fractions; before: accepted earlier."""

    item: str
    week: int
    parts: float
    way: str = ""
    whole: bool = True
    before: float | None = None


@dataclass(frozen=True, slots=True)
class ItemWeek:
    """One item in one week, in items."""

    item: str
    week: int
    ready: float  # heads becoming ready, or what the cuttings kept would give
    harvest: float
    left: float  # ready heads left standing after the week
    kept: float  # in the cold room at the end of the week
    carried_in: float  # from the cold room, losses of keeping taken off
    made: float  # mixed from other items
    into_mixes: float
    promised: float
    met: float
    market: float  # taken to markets
    expected_sales: float  # of what is taken to markets


@dataclass(frozen=True, slots=True)
class Mixed:
    """A mix made in a week, in items, and how much of each part goes into it."""

    item: str
    week: int
    made: float
    parts: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept of a planting.

    A standing planting has its key and shares of the whole (1 = all of it): first of the planting itself, then of each
    block. A new sowing that is cut several times has its way and week, and the parts kept for each block.
    """

    item: str
    amounts: tuple[float, ...]
    key: str = ""
    way: str = ""
    week: int | None = None


@dataclass(frozen=True, slots=True)
class PromiseOutcome:
    """cause: "" (met), too_late, room, seed_or_work, dearer (meeting it costs more than failing), not_examined."""

    key: str
    item: str
    week: int
    quantity: float
    met: float
    penalty: float
    cause: str = ""


@dataclass(frozen=True, slots=True)
class MarketOutcome:
    key: str
    item: str
    week: int
    taken: float
    expected_sales: float
    mean_demand: float


@dataclass(frozen=True, slots=True)
class RoomUse:
    kind: str
    week: int
    used: float
    places: float
    binding: bool


@dataclass(frozen=True, slots=True)
class Clash:
    """Rules that cannot all hold together, with the kinds of space and weeks, seeds or weeks of work they clash in."""

    rules: tuple[Rule, ...]
    room: tuple[tuple[str, int], ...]
    seeds: tuple[str, ...]
    work_weeks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class RoomWorth:
    """What more room would earn over the horizon: about, and proven to be no more than. [currency]"""

    about: float
    at_most: float


@dataclass(frozen=True, slots=True)
class Size:
    columns: int
    whole: int
    rows: int
    entries: int


@dataclass(frozen=True, slots=True)
class Plan:
    """status: optimal (nothing better exists), gap (proven within the asked gap), stopped (time or nodes ran out: best
    found, see gap), infeasible (see clash). objective and bound in currency; gap is (bound - objective) / |objective|;
    None where there is no answer."""

    status: str
    objective: float | None
    bound: float | None
    gap: float | None
    sowings: tuple[Sown, ...]
    items: tuple[ItemWeek, ...]
    standing: tuple[Kept, ...]
    cuttings: tuple[Kept, ...]  # new sowings that are cut several times
    promises: tuple[PromiseOutcome, ...]
    markets: tuple[MarketOutcome, ...]
    room: tuple[RoomUse, ...]
    clash: Clash | None
    changed_parts: float | None
    model_seconds: float
    solver_seconds: float
    seed: int
    node_limit: int
    size: Size
    mixed: tuple[Mixed, ...] = ()
