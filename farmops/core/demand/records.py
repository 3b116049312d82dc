"""What the estimator is told: one row per item and market day, and the question for a day to come."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class MarketRecord:
    """One item on one market day that took place.

    Counts are whole steps of what is counted (a bunch, or 0.25 lb). Times are minutes after midnight
    of the farm's day. A market that was called off has no record.

    Attributes
    ----------
    day : date
    market, item : str
    category : str
        Similar items share it; "" is none.
    opens, closes : int
        [min after midnight]
    brought : int, >= 0
        Fresh stock, all of it: what was put on the table later is part of it. [steps]
    carried_in : int, >= 0
        Left from an earlier market, sold first. [steps]
    restocks : tuple of (int, int)
        (minute, count): the part of `brought` that was put on the table later.
    sold : int or None
        None is not noted; then brought + carried_in - left counts. [steps]
    left : int or None
        None is unknown. [steps]
    ran_out : bool
        The table was empty at some time and not filled again by closing.
    ran_out_at : tuple of int
        One minute for each time the table was empty; () with `ran_out` is time unknown.
    price : float or None
        [money per step]
    weather : str
        "dry", "rain" or "" (unknown).
    left_at : int or None
        The seller went home early at this minute; not a sell-out.
    not_wasted : int, 0 to `left`
        Of what was left: given away, eaten, kept for another day; neither sold nor waste. [steps]
    """

    day: date
    market: str
    item: str
    category: str = ""
    opens: int = 480
    closes: int = 780
    brought: int = 0
    carried_in: int = 0
    restocks: tuple[tuple[int, int], ...] = ()
    sold: int | None = None
    left: int | None = None
    ran_out: bool = False
    ran_out_at: tuple[int, ...] = ()
    price: float | None = None
    weather: str = ""
    left_at: int | None = None
    not_wasted: int = 0


@dataclass(frozen=True, slots=True)
class Ask:
    """What to bring of one item to one market day to come.

    Attributes
    ----------
    day : date
    market, item, category : str
    opens, closes : int
        [min after midnight]
    price, unit_cost, leftover_value : float
        What one step sells for, costs to grow and pick, and is worth when it comes back. [money per step]
    weather : str
        "dry", "rain" or "" (unknown).
    rain_chance : float in [0, 1] or None
        Mixes dry and rain while the weather is unknown; None takes the share of rain days in the records.
    shelf_markets : int, >= 1
        Markets it lasts: 1 is gone after this one, 2 may be sold once more.
    carry_loss : float in [0, 1]
        Share lost when carried to the next market.
    carried_in : int, >= 0
        In hand already, left from an earlier market. [steps]
    guess : float or None
        The grower's own guess of the usual demand. [steps]
    box_need : int, >= 0
        The first leftovers a box takes. [steps]
    box_value : float
        What each of them is worth. [money per step]
    """

    day: date
    market: str
    item: str
    category: str = ""
    opens: int = 480
    closes: int = 780
    price: float = 1.0
    unit_cost: float = 0.3
    leftover_value: float = 0.0
    weather: str = ""
    rain_chance: float | None = None
    shelf_markets: int = 1
    carry_loss: float = 0.0
    carried_in: int = 0
    guess: float | None = None
    box_need: int = 0
    box_value: float = 0.0
