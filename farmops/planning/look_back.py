"""Looking back at the farm's own market days: what running out and leftovers cost, and what to bring next."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from farmops.core.demand import MarketRecord
from farmops.planning.bringing import Outlook, learn_from, what_to_bring
from farmops.planning.economics import Economics
from farmops.planning.needs import market_guesses
from farmops.planning.rows import FarmRows, Item, MarketDay
from farmops.planning.wants import market_dates, market_records

LOOKED_BACK = timedelta(weeks=52)  # each season once; what is learned from reaches further back
AHEAD = timedelta(weeks=52)


@dataclass(frozen=True, slots=True)
class LookBack:
    """The last 52 weeks of markets.

    Attributes
    ----------
    first, as_of : date
        The days between which it looks, both included.
    outlook : Outlook
    economics : mapping of item to Economics
        As last noted; what is not known stays unknown, and is guessed for all to see.
    coming : mapping of market to date
        Its next day; a market without one does not stand here.
    dear_leftovers : tuple of str
        Items whose leftovers are noted as worth as much as they cost: reckoned a little lower.
    notes : tuple of str
        Market days that had to be left out.
    learned_days : mapping of market to int
        How many of its days are learned from: all that are noted, not only those looked back at.
    """

    first: date
    as_of: date
    outlook: Outlook
    economics: Mapping[str, Economics]
    coming: Mapping[str, date]
    dear_leftovers: tuple[str, ...]
    notes: tuple[str, ...]
    learned_days: Mapping[str, int]


def look_back(rows: FarmRows, as_of: date) -> LookBack | None:
    """Learn from all the rows, look back at the last 52 weeks of them; None where no market day is known in these."""
    noted, notes = market_records(rows, as_of)
    # A notebook of market days knows no categories: without them all pages say the same amount.
    records = [replace(record, category="") for record in noted]
    first = as_of - LOOKED_BACK + timedelta(days=1)
    recent = [record for record in records if record.day >= first]
    if not recent:
        return None
    guesses = market_guesses(rows, as_of)
    learned = learn_from(records, as_of, guesses)
    economics, dear = farm_economics(rows, recent)
    coming: dict[str, date] = {}
    for one in market_dates(rows, as_of + timedelta(days=1), as_of + AHEAD):
        coming.setdefault(one.outlet.outlet, one.day)
    outlook = what_to_bring(recent, economics, as_of=as_of, next_days=coming, guesses=guesses, learned=learned)
    held = {(record.market, record.day) for record in records}
    learned_days = Counter(market for market, _day in held)
    return LookBack(first, as_of, outlook, economics, coming, dear, tuple(notes), learned_days)


def farm_economics(rows: FarmRows, records: list[MarketRecord]) -> tuple[dict[str, Economics], tuple[str, ...]]:
    """Each item's price, cost and worth of a leftover as last noted on a market day, and whose leftovers were too dear.

    A leftover worth as much as it cost would make it pay to bring more without end.
    """
    items = {item.item: item for item in rows.items}
    noted: dict[str, list[MarketDay]] = {}
    for row in sorted(rows.market_days, key=lambda row: row.date):
        noted.setdefault(row.item, []).append(row)
    found, dear = {}, []
    for name in sorted({record.item for record in records}):
        own = _economics(items.get(name), noted[name])
        full = own.filled()
        if own.leftover_value and own.price is not None and own.leftover_value >= (full.unit_cost or 0.0):
            own = replace(own, leftover_value=0.99 * (full.unit_cost or 0.0))
            dear.append(name)
        found[name] = own
    return found, tuple(dear)


def _economics(item: Item | None, noted: list[MarketDay]) -> Economics:
    prices = [row.price for row in noted if row.price is not None]
    costs = [row.unit_cost for row in noted if row.unit_cost is not None]
    worth = [row.leftover_value for row in noted if row.leftover_value is not None]
    price = float(prices[-1]) if prices else None
    unit_cost = None
    if costs:
        figure, is_share = costs[-1]
        unit_cost = float(figure) if not is_share else (None if price is None else price * float(figure))
    leftover = worth[-1] if worth else (item.leftover_value if item else None)
    step = item.step if item else next((row.step for row in reversed(noted) if row.step), None)
    return Economics(
        price=price,
        unit_cost=unit_cost,
        leftover_value=float(leftover) if leftover else None,
        unit=item.unit if item else noted[-1].unit,
        step=float(step or 1),
    )
