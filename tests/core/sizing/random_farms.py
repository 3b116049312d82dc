"""Tiny invented farms with everything in them: heads that stand, cuttings, keeping, stock, promises, markets, mixes."""

import random
from dataclasses import replace

from farmops.core.sizing import (
    Accepted,
    Block,
    Cuts,
    Heads,
    Item,
    Market,
    Mix,
    Occupancy,
    Piece,
    Problem,
    Promise,
    Rule,
    SeedStock,
    Sowing,
    Space,
    Standing,
)

MOST_PARTS = 2


def tiny_farm(seed: int, *, sowings: int = 4) -> Problem:
    """Two grown items and sometimes a mix; `sowings` ways to sow, each of at most 2 parts, so that all can be tried."""
    rng = random.Random(seed)
    weeks = rng.randint(4, 6)
    spaces = (
        Space("nursery", tuple(float(rng.choice([0, 12, 20, 20])) for _ in range(weeks))),
        Space("bed", tuple(float(rng.randint(10, 30)) for _ in range(weeks))),
    )
    keeps = rng.choice([0, 0, 1, 2])
    items = [
        Item("heads", cutting=0.5, keeps=rng.choice([0, 0, 1]), keep_loss=0.1),
        Item(
            "bags",
            cutting=0.3,
            keeps=keeps,
            keep_loss=0.05,
            stock=tuple(float(rng.randint(0, 4)) for _ in range(keeps + 1)),
            beyond=tuple(float(rng.randint(0, 6)) for _ in range(2)),
            beyond_price=2.0,
        ),
    ]
    mixes: tuple[Mix, ...] = ()
    if rng.random() < 0.5:
        items.append(Item("mix", cutting=0.1))
        mixes = (Mix("mix", (("heads", 0.5), ("bags", 0.5))),)
    names = [("heads" if rng.random() < 0.5 else "bags", rng.randrange(weeks - 1)) for _ in range(3 * sowings)]
    chosen = list(dict.fromkeys(names))[:sowings]
    lines = tuple(_sowing(rng, item, week) for item, week in chosen)
    if rng.random() < 0.3:
        lines = tuple(replace(line, seed="lot", seeds=float(rng.randint(5, 20))) for line in lines)
    is_short_of_hands = rng.random() < 0.3
    if is_short_of_hands:
        items = [replace(item, minutes=rng.choice([0.0, 0.5, 1.0])) for item in items]
        lines = tuple(replace(line, minutes=5.0) for line in lines)
    accepted = tuple(Accepted(line.item, line.week, float(rng.randint(0, 2))) for line in lines[1:])
    return Problem(
        weeks=weeks,
        spaces=spaces,
        items=tuple(items),
        sowings=lines,
        standing=_standing(rng),
        promises=_promises(rng, [item.key for item in items], weeks),
        markets=_markets(rng, [item.key for item in items], weeks),
        mixes=mixes,
        accepted=accepted if rng.random() < 0.4 else None,
        seeds=(SeedStock("lot", float(rng.randint(10, 60))),),
        work=tuple(float(rng.randint(4, 20)) for _ in range(weeks)) if is_short_of_hands else (),
        rules=tuple(
            Rule("sow_at_most", item=line.item, way=line.way, week=line.week, amount=MOST_PARTS) for line in lines
        ),
    )


def _sowing(rng: random.Random, item: str, week: int) -> Sowing:
    nursery = (Occupancy("nursery", week, float(rng.choice([4, 10]))),)
    cost = rng.choice([1.0, 2.0, 3.5])
    if item == "heads":
        ready = week + rng.choice([1, 1, 2])
        room = (*nursery, *(Occupancy("bed", at, 6.0) for at in range(week + 1, ready)))
        # Last weeks out of the order of ready weeks are wanted here too.
        heads = Heads(ready, ready + rng.choice([0, 1, 2, 3]), float(rng.choice([6, 8])), "bed", 1.25)
        return Sowing(item, week, heads, room, cost)
    blocks = tuple(
        Block(((week + at, round(8 * share, 2)),), (Occupancy("bed", week + at, 7.0),))
        for at, share in zip((1, 2, 3), (1, 0.8, 0.6), strict=True)
    )
    return Sowing(item, week, Cuts(blocks[: rng.choice([1, 2, 3])]), nursery, cost)


def _standing(rng: random.Random) -> tuple[Standing, ...]:
    found = []
    if rng.random() < 0.6:
        found.append(Standing("old heads", "heads", Heads(rng.choice([0, 1]), 2, 9.0, "bed", 1.25)))
    if rng.random() < 0.6:
        blocks = tuple(Block(((week, 5.0 - week),), (Occupancy("bed", week, 9.0),)) for week in range(3))
        found.append(Standing("old bags", "bags", Cuts(blocks)))
    return tuple(found)


def _promises(rng: random.Random, items: list[str], weeks: int) -> tuple[Promise, ...]:
    return tuple(
        Promise(f"promise {number}", rng.choice(items), rng.randrange(weeks), float(rng.randint(1, 8)), 2.0, 1.5)
        for number in range(rng.randint(0, 3))
    )


def _markets(rng: random.Random, items: list[str], weeks: int) -> tuple[Market, ...]:
    markets = []
    for number in range(rng.randint(2, 6)):
        price = rng.choice([2.0, 3.0, 4.0])
        worths = (price, 0.6 * price, 0.25 * price)
        pieces = tuple(Piece(float(rng.randint(2, 6)), worth, worth / price) for worth in worths)
        markets.append(Market(f"market {number}", rng.choice(items), rng.randrange(weeks), pieces, price, 0.1))
    return tuple(markets)
