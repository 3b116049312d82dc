"""What the sizing programme is given: weeks, room, ways to sow, what stands, what is wanted.

Weeks are whole numbers counted from this week (0). Sowing and moving happen on Monday, cutting all week: what moves out
on a Monday frees its places that Monday. A "part" is the least amount sown at a time, such as half a tray.
Money is in the farm's currency as plain numbers; nothing here is charged to anybody.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

QUANTILES = (0.25, 0.5, 0.7, 0.85, 0.96)


@dataclass(frozen=True, slots=True)
class Space:
    """One kind of space and its places in each week of the horizon (a closed week has 0)."""

    kind: str
    places: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """What is cut and sold (a head, a bunch, a bag), or a crop that only goes into mixes.

    cutting is what one item costs to cut and pack. stock[a] items lie in the cold room now and keep a more weeks after
    this one (a <= keeps). beyond[j] is the mean need of week horizon + j, at beyond_price: cuttings of plantings
    started inside the horizon are credited there, up to that need.
    """

    key: str
    cutting: float = 0.0
    minutes: float = 0.0
    keeps: int = 0  # whole weeks after the week of cutting
    keep_loss: float = 0.0  # share lost in each week kept
    stock: tuple[float, ...] = ()
    beyond: tuple[float, ...] = ()
    beyond_price: float = 0.0


@dataclass(frozen=True, slots=True)
class Leeway:
    """How far a part of a mix may go from the recipe: shares of the whole mix below and above its own, 0 to 1.

    whole: how much of the part would make one item alone; its own share is its amount over this.
    """

    part: str
    whole: float
    down: float
    up: float


@dataclass(frozen=True, slots=True)
class Mix:
    """An item made of others: parts are (item, how many of it go into one), changed only inside the leeway given."""

    item: str
    parts: tuple[tuple[str, float], ...]
    leeway: tuple[Leeway, ...] = ()


@dataclass(frozen=True, slots=True)
class Occupancy:
    """Places of one kind that one part (or the whole standing planting) takes in one week."""

    kind: str
    week: int
    places: float


@dataclass(frozen=True, slots=True)
class Heads:
    """Cut once. Ready in week ready, the last week it stands good is last; kind and places: where one item stands.

    The places of the ready week and of every week it stands after that are counted by the programme (items x places)
    and must not be in the occupancy of the sowing.
    """

    ready: int
    last: int
    items: float  # of one part, losses taken off
    kind: str
    places: float  # per item


@dataclass(frozen=True, slots=True)
class Block:
    """One cutting, or some weeks of picking: what it gives and the places it needs; kept only if the one before is."""

    harvests: tuple[tuple[int, float], ...]  # (week, items of one part)
    room: tuple[Occupancy, ...] = ()


@dataclass(frozen=True, slots=True)
class Cuts:
    """Cut or picked several times."""

    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Sowing:
    """One way to sow an item in one week; (item, way, week) is its name.

    room: what one part takes before its ready week or first block (or up to the end of the first block, where that
    block has no room of its own).
    """

    item: str
    week: int
    harvest: Heads | Cuts
    room: tuple[Occupancy, ...] = ()
    cost: float = 0.0  # seed, tray and work of one part
    way: str = ""  # variety, kind of tray
    minutes: float = 0.0
    seed: str = ""
    seeds: float = 0.0  # of that seed, for one part


@dataclass(frozen=True, slots=True)
class Standing:
    """A planting that is in the ground or in trays: amounts are of the whole planting. It may be kept in part."""

    key: str
    item: str
    harvest: Heads | Cuts
    room: tuple[Occupancy, ...] = ()


@dataclass(frozen=True, slots=True)
class Promise:
    """A commitment: so many of an item in a week at a price; each one not met costs the penalty."""

    key: str
    item: str
    week: int
    quantity: float
    price: float
    penalty: float


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a market's demand: up to quantity items, each sold with this chance, worth this much on the table."""

    quantity: float
    worth: float
    chance: float


@dataclass(frozen=True, slots=True)
class Market:
    """One item on one market day (a closed day has no entry, or no pieces). mean is the mean demand of the day."""

    key: str
    item: str
    week: int
    pieces: tuple[Piece, ...]
    price: float
    leftover: float = 0.0
    mean: float = 0.0


@dataclass(frozen=True, slots=True)
class Accepted:
    """Parts of a sowing in the plan accepted before."""

    item: str
    week: int
    parts: float
    way: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """What the grower insists on. kind: sow_at_least, sow_at_most (item, way, week, amount), keep (key of a standing
    planting, whole), meet (key of a promise, in full)."""

    kind: str
    item: str = ""
    way: str = ""
    week: int = 0
    amount: float = 0.0
    key: str = ""


@dataclass(frozen=True, slots=True)
class SeedStock:
    seed: str
    on_hand: float


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything one run of the programme looks at."""

    weeks: int
    spaces: tuple[Space, ...]
    items: tuple[Item, ...]
    sowings: tuple[Sowing, ...] = ()
    standing: tuple[Standing, ...] = ()
    promises: tuple[Promise, ...] = ()
    markets: tuple[Market, ...] = ()
    mixes: tuple[Mix, ...] = ()
    accepted: tuple[Accepted, ...] | None = None  # None: no plan was accepted before
    seeds: tuple[SeedStock, ...] = ()
    work: tuple[float, ...] = ()  # minutes in each week; () = not counted
    rules: tuple[Rule, ...] = ()


@dataclass(frozen=True, slots=True)
class Settings:
    """How to solve. whole_weeks: sowings of these first weeks are whole parts, later ones may be fractions (None: all
    whole)."""

    gap: float = 0.01
    seconds: float = 20.0
    seed: int = 0
    nodes: int = 4000
    whole_weeks: int | None = 12
    change_price: float = 3.0  # per part away from the accepted plan
    keep_price: float = 0.02  # per item and week in the cold room
    recipe_price: float = 0.02  # per item's worth of parts exchanged in a mix: the recipe holds unless changing it pays
    stay_worth: float = 0.5  # for keeping a standing planting whole: breaks ties
    room_counts: bool = True  # False: what would be sown if room were no limit
    explain: bool = True  # find out why promises are not met


def market_pieces(probabilities: Sequence[float], price: float, leftover: float = 0.0) -> tuple[Piece, ...]:
    """Chords of expected sales E[min(D, Q)] between quantiles of the demand.

    Parameters
    ----------
    probabilities : (demands,) float, each >= 0, sum 1 within 1e-6
        Chance that exactly 0, 1, 2, ... items are asked for. [-]
    price, leftover : float, >= 0
        What an item brings when sold, and when it is left. [currency item⁻¹]

    Returns
    -------
    tuple of Piece
        With falling worth; empty when nothing is ever asked for.

    Raises
    ------
    ValueError
        If the chances are negative or do not add up to 1, or a leftover is worth more than the price.
    """
    total = float(sum(probabilities))
    if not abs(total - 1.0) <= 1e-6 or min(probabilities) < 0:
        raise ValueError(f"chances must be 0 or more and add up to 1, got a sum of {total}")
    if not 0 <= leftover <= price:
        raise ValueError(f"a leftover must be worth between 0 and the price {price}, got {leftover}")
    below, sales = 0.0, 0.0
    marks, pieces, started, sales_before = list(QUANTILES), [], 0, 0.0
    for demand, chance in enumerate(probabilities):
        below += float(chance)
        # E[min(D, demand)] is in `sales`; one more item on the table sells when D > demand.
        if marks and below >= marks[0] * total - 1e-12:
            while marks and below >= marks[0] * total - 1e-12:
                marks.pop(0)
            if demand > started:
                width = demand - started
                sells = min(1.0, (sales - sales_before) / width)
                pieces.append(Piece(float(width), price * sells + leftover * (1.0 - sells), sells))
                started, sales_before = demand, sales
        sales += max(0.0, total - below)
    return tuple(pieces)
