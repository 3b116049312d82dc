"""One day at the stall: customers come in time, the table empties in time, and the keeper notes what a keeper notes."""

from dataclasses import dataclass

import numpy as np

from farmops.proving.worlds.draws import ItemDay, MarketDay
from farmops.proving.worlds.notebook import Record, clock
from farmops.proving.worlds.parts import Item, World


@dataclass(frozen=True, slots=True)
class Sale:
    """sold: pieces; wanted: pieces of those who came for this item first; out_at: share of the opening hours."""

    sold: int
    wanted: int
    out_at: float | None


def sell(world: World, day: MarketDay, stocks: list[int]) -> list[Sale]:
    """Sell `stocks` (pieces of each item) to the day's customers."""
    if world.swaps:
        return _sell_with_swaps(world, day, stocks)
    return [_sell_alone(drawn, stock) for drawn, stock in zip(day.items, stocks, strict=True)]


def _sell_alone(drawn: ItemDay, stock: int) -> Sale:
    taken = np.cumsum(drawn.pieces)
    wanted = int(taken[-1]) if len(taken) else 0
    if stock == 0 or wanted < stock:
        return Sale(min(stock, wanted), wanted, None)
    return Sale(stock, wanted, float(drawn.times[int(np.searchsorted(taken, stock))]))


def _sell_with_swaps(world: World, day: MarketDay, stocks: list[int]) -> list[Sale]:
    left = list(stocks)
    out_at: list[float | None] = [None] * len(stocks)
    coming = sorted(
        (float(time), at, int(pieces), float(luck))
        for at, drawn in enumerate(day.items)
        for time, pieces, luck in zip(drawn.times, drawn.pieces, drawn.luck, strict=True)
    )
    for time, wanted, pieces, luck in coming:
        at = wanted
        if left[at] == 0:
            others = [
                other
                for other, item in enumerate(world.items)
                if left[other] and item.category == world.items[wanted].category
            ]
            if luck >= world.swaps or not others:
                continue
            at = others[int(luck / world.swaps * len(others))]
        left[at] -= min(pieces, left[at])
        if left[at] == 0:
            out_at[at] = time
    return [
        Sale(stock - rest, int(drawn.pieces.sum()), out)
        for stock, rest, drawn, out in zip(stocks, left, day.items, out_at, strict=True)
    ]


def note(
    world: World, day: MarketDay, item: Item, drawn: ItemDay, fresh: int, carried: int, sale: Sale, *, times: bool
) -> Record:
    """The line of the notebook. With `times` false no sell-out time is ever noted."""
    market = day.market
    hours = market.closes - market.opens
    closes = market.opens + round(day.leaves * hours / 5) * 5 if day.leaves < 1 else market.closes
    at = None
    if sale.out_at is not None and times and not drawn.forgets:
        minute = market.opens + sale.out_at * hours
        at = clock(min(closes, round(minute / world.noted_to) * world.noted_to))
    return Record(
        date=day.day.isoformat(),
        market=market.name,
        opens=clock(market.opens),
        closes=clock(closes),
        item=item.name,
        category=item.category,
        brought=fresh,
        carried_in=carried,
        sold=sale.sold,
        left=fresh + carried - sale.sold,
        sold_out=sale.out_at is not None,
        sold_out_at=at,
        price=drawn.price,
        weather=("rain" if day.rains else "dry") if world.weather_noted else None,
        cancelled=False,
    )


def note_called_off(world: World, day: MarketDay) -> list[Record]:
    """The lines of a market that did not take place."""
    empty = Sale(0, 0, None)
    return [
        note(world, day, item, drawn, 0, 0, empty, times=False) | {"cancelled": True}
        for item, drawn in zip(world.items, day.items, strict=True)
    ]
