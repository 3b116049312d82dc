"""Thirteen worlds drawn by rule, once, before the product was tried in any of them.

The ranges and the seed are never changed after that: what the product reaches here was not tuned for. A market is made
hard by skewed seasons, drift, rain, price moves, arrivals of several shapes, pairs bought, cancelled days, sell-outs
noted to the quarter hour or not at all and hardy items that carry over once, and by nothing else. The ranges are around
the worlds written by hand; items share no luck of a day, so that their own spread is wider than it is there.
"""

from datetime import date, timedelta

import numpy as np

from farmops.proving.worlds.parts import Item, Market, Season, World

SEED = 20261125
COUNT = 13

FIRST_MONDAY, START_WEEKS = date(2025, 3, 24), 11  # a stall opens on one of so many Mondays
MARKETS_CHANCE = {1: 0.15, 2: 0.65, 3: 0.2}
LEAST_ITEMS, MOST_ITEMS = 6, 12
OF_EACH_KIND = 2  # items of each category at least
STALL_SIZE = (0.7, 1.3)  # factor on the customers of all items
SIZE_AGAIN = (0.5, 0.9)  # of further markets, the first being 1
TASTE_CHANCE, TASTE_SD = 0.25, 0.25  # an item that further markets like more or less, on the log scale
COST, LEFTOVER, LEFTOVER_CHANCE = (0.25, 0.4), (0.05, 0.1), 0.25  # shares of the price
ITEM_SPREAD = (5.0, 30.0)  # even on the log scale
WALK = (0.005, 0.03)
RAIN_CHANCE, RAIN_AT_MARKET, RAIN_ON_ITEM = (0.15, 0.45), (0.55, 0.9), (0.85, 1.15)
CALLED_OFF = (0.01, 0.07)
FORGOTTEN = (0.05, 0.5)  # even on the log scale
ELASTICITY = (-1.5, -0.3)
PEAK_SD = 1.5  # of an item's peak around its course's [weeks]

# How many of the thirteen are hit by what not every market knows; which, is drawn.
WORLDS_UNTOLD = 3  # the weather is not known the evening before
WORLDS_GROWING, GROWTH = 2, (0.006, 0.014)
WORLDS_FADING, FADING = 2, (-0.010, -0.004)
DRIFT_OF_ITEM = (0.7, 1.4)  # factor on the stall's
WORLDS_MOVING_PRICES, PRICE_MOVES = 4, (0.15, 0.35)
WORLDS_OF_PAIRS, PAIRS = 5, (0.1, 0.35)
WORLDS_OF_HARDY, CARRY_LOSS = 4, (0.05, 0.2)

# Peak, rise, fall [weeks], floor; the course of each is drawn for each world.
COURSES: dict[str, tuple[tuple[float, float], ...]] = {
    "spring": ((15, 21), (5, 9), (7, 12), (0.4, 0.7)),
    "summer": ((27, 33), (6, 10), (4, 8), (0.3, 0.6)),
    "autumn": ((37, 43), (8, 14), (4, 8), (0.4, 0.65)),
    "broad": ((22, 30), (12, 18), (9, 14), (0.6, 0.85)),
}
# Name, category, customers on a dry day at the peak, price, courses it may follow, hardy.
CROPS: tuple[tuple[str, str, tuple[float, float], tuple[float, float], tuple[str, ...], bool], ...] = (
    ("butterhead", "salad", (15, 35), (2.5, 3.5), ("spring", "summer"), False),
    ("romaine", "salad", (15, 30), (2.5, 3.5), ("summer",), False),
    ("oakleaf", "salad", (12, 26), (2.5, 3.5), ("spring", "summer"), False),
    ("salad mix", "salad", (20, 45), (4.0, 5.5), ("broad",), False),
    ("arugula", "salad", (12, 26), (3.0, 4.0), ("spring", "broad"), False),
    ("spinach", "salad", (12, 28), (3.5, 4.5), ("spring",), False),
    ("kale", "leaves", (14, 28), (2.5, 3.5), ("autumn",), True),
    ("chard", "leaves", (10, 22), (2.5, 3.5), ("autumn", "broad"), True),
    ("collards", "leaves", (10, 18), (2.5, 3.5), ("autumn",), True),
    ("pak choi", "leaves", (8, 18), (3.0, 4.0), ("autumn", "spring"), False),
    ("basil", "herbs", (15, 40), (2.0, 3.0), ("summer",), False),
    ("parsley", "herbs", (8, 20), (1.5, 2.5), ("broad",), True),
    ("coriander", "herbs", (9, 22), (1.5, 2.5), ("spring", "summer"), False),
    ("dill", "herbs", (6, 16), (1.5, 2.5), ("summer",), False),
    ("chives", "herbs", (6, 14), (1.5, 2.5), ("spring",), False),
    ("mint", "herbs", (6, 12), (1.5, 2.5), ("summer",), False),
    ("thyme", "herbs", (6, 12), (2.0, 3.0), ("broad",), True),
)
# Mixtures of betas (weight, a, b) of the opening hours; a and b of each market are this far from those, as logs.
ARRIVALS: dict[str, tuple[tuple[float, float, float], ...]] = {
    "even": ((1.0, 1.0, 1.0),),
    "early rush": ((1.0, 1.2, 3.2),),
    "late crowd": ((1.0, 3.6, 1.7),),
    "two waves": ((0.5, 2.5, 8.0), (0.5, 8.0, 3.5)),
    "around midday": ((1.0, 2.4, 2.2),),
    "a rush, then even": ((0.45, 1.0, 9.0), (0.55, 1.1, 1.2)),
}
LATE = "late crowd"
ARRIVALS_SD = 0.12
SAME_CROWD = 0.5  # chance that a further market's customers come as the first's do; a late crowd is late at all
AFTERNOON_CHANCE = 0.2
MORNINGS, AFTERNOONS = ((480, 780), (480, 720), (540, 840)), ((840, 1140), (900, 1140))
DAYS = {1: "Tuesday", 2: "Wednesday", 3: "Thursday", 4: "Friday", 5: "Saturday", 6: "Sunday"}


def fresh_worlds() -> tuple[World, ...]:
    """The thirteen worlds; they are the same each time."""
    rng = np.random.default_rng(SEED)
    shapes = [str(one) for one in rng.permutation(list(ARRIVALS))]
    untold, moving, pairs, hardy = (
        _which(count, rng) for count in (WORLDS_UNTOLD, WORLDS_MOVING_PRICES, WORLDS_OF_PAIRS, WORLDS_OF_HARDY)
    )
    order = rng.permutation(COUNT)
    growing = {int(one) for one in order[:WORLDS_GROWING]}
    fading = {int(one) for one in order[WORLDS_GROWING : WORLDS_GROWING + WORLDS_FADING]}
    worlds = []
    for number in range(COUNT):
        shape = shapes[number % len(shapes)]
        drift = _between(GROWTH, rng) if number in growing else _between(FADING, rng) if number in fading else 0.0
        items = _items(drift, number in pairs, number in hardy, rng)
        worlds.append(
            World(
                name=f"fresh_{number + 1}",
                story=f"Drawn by rule, seed {SEED}; customers of its first market: {shape}.",
                starts=FIRST_MONDAY + timedelta(weeks=int(rng.integers(START_WEEKS))),
                markets=_markets(shape, items, rng),
                items=items,
                day_spread=None,
                item_spread=_between_logs(ITEM_SPREAD, rng),
                walk=_between(WALK, rng),
                rain_chance=_between(RAIN_CHANCE, rng),
                weather_told=number not in untold,
                called_off=_between(CALLED_OFF, rng),
                forgotten=_between_logs(FORGOTTEN, rng),
                price_moves=_between(PRICE_MOVES, rng) if number in moving else 0.0,
            )
        )
    return tuple(worlds)


def _which(count: int, rng: np.random.Generator) -> set[int]:
    return {int(one) for one in rng.permutation(COUNT)[:count]}


def _between(ends: tuple[float, float], rng: np.random.Generator) -> float:
    return round(float(rng.uniform(*ends)), 4)


def _between_logs(ends: tuple[float, float], rng: np.random.Generator) -> float:
    return round(float(np.exp(rng.uniform(*np.log(ends)))), 4)


def _near(middle: float, sd: float, rng: np.random.Generator) -> float:
    """A factor on `middle` whose logarithm has the spread `sd`."""
    return round(float(middle * np.exp(rng.normal(0, sd))), 3)


def _to_five_cents(money: float) -> float:
    return round(round(money * 20) / 20, 2)


def _items(drift: float, is_of_pairs: bool, is_hardy: bool, rng: np.random.Generator) -> tuple[Item, ...]:
    courses = {name: tuple(_between(ends, rng) for ends in ranges) for name, ranges in COURSES.items()}
    size = _between(STALL_SIZE, rng)
    items = []
    for at in _chosen(rng):
        name, category, usual, prices, may_follow, keeps = CROPS[at]
        peak, rise, fall, floor = courses[may_follow[int(rng.integers(len(may_follow)))]]
        price = _to_five_cents(_between(prices, rng))
        leftover = _between(LEFTOVER, rng) if rng.random() < LEFTOVER_CHANCE else 0.0
        items.append(
            Item(
                name=name,
                category=category,
                usual=round(size * _between(usual, rng), 1),
                price=price,
                cost=_to_five_cents(price * _between(COST, rng)),
                leftover=_to_five_cents(price * leftover),
                season=Season(round(peak + float(rng.normal(0, PEAK_SD)), 2), rise, fall, floor),
                drift=round(drift * _between(DRIFT_OF_ITEM, rng), 5),
                elasticity=_between(ELASTICITY, rng),
                rain=_between(RAIN_ON_ITEM, rng),
                two_pieces=_between(PAIRS, rng) if is_of_pairs else 0.0,
                shelf_markets=2 if is_hardy and keeps else 1,
                carry_loss=_between(CARRY_LOSS, rng) if is_hardy and keeps else 0.0,
            )
        )
    return tuple(items)


def _chosen(rng: np.random.Generator) -> list[int]:
    """Numbers of the crops on the table, some of each category."""
    order = [int(one) for one in rng.permutation(len(CROPS))]
    count = int(rng.integers(LEAST_ITEMS, MOST_ITEMS + 1))
    first: list[int] = []
    for category in sorted({crop[1] for crop in CROPS}):
        first += [at for at in order if CROPS[at][1] == category][:OF_EACH_KIND]
    return sorted(first + [at for at in order if at not in first][: count - len(first)])


def _markets(shape: str, items: tuple[Item, ...], rng: np.random.Generator) -> tuple[Market, ...]:
    count = int(rng.choice(list(MARKETS_CHANCE), p=list(MARKETS_CHANCE.values())))
    markets = []
    for number, weekday in enumerate(int(one) for one in rng.permutation(list(DAYS))[:count]):
        other = str(rng.choice(list(ARRIVALS)))
        comes = shape if number == 0 or shape == LATE or rng.random() < SAME_CROWD else other
        hours = AFTERNOONS if comes == LATE or rng.random() < AFTERNOON_CHANCE else MORNINGS
        opens, closes = hours[int(rng.integers(len(hours)))]
        liked = {item.name: _near(1.0, TASTE_SD, rng) for item in items if rng.random() < TASTE_CHANCE}
        parts = [(weight, _near(a, ARRIVALS_SD, rng), _near(b, ARRIVALS_SD, rng)) for weight, a, b in ARRIVALS[comes]]
        size = _between(SIZE_AGAIN, rng) if number else 1.0
        rain = _between(RAIN_AT_MARKET, rng)
        markets.append(Market(DAYS[weekday], weekday, opens, closes, tuple(parts), size, rain, liked if number else {}))
    return tuple(markets)
