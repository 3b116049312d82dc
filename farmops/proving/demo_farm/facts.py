"""What the invented farm knows of itself: its varieties, spaces, items, markets, buyers and boxes. All made up."""

from dataclasses import dataclass
from datetime import date

SEED = 20260907
TODAY = date(2026, 9, 7)  # a Monday in late summer: days grow short, so every sowing is a question
FIRST_DAY = date(2025, 1, 27)
LAST_SOWING = (10, 5)

FARM_NAME = "Pennywhistle Bend Farm (invented)"
LATITUDE = 42.4
MON, TUE, WED, THU, FRI, SAT, SUN = range(7)


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of a variety as the farm has it on its list: days noted around the first day of spring."""

    name: str
    kind: str
    days: int
    plants_per_place: int
    survive: int  # [%]


@dataclass(frozen=True, slots=True)
class Variety:
    """One variety: how it is sown, its stages, and how it is harvested."""

    name: str
    crop: str
    category: str
    part: str
    part_plants: int
    part_cost: str
    stages: tuple[Stage, ...]
    harvest: str  # head, cut or picked
    unit: str
    units_per_plant: str
    packed: int = 100  # [%]
    cuttings: tuple[int, ...] = ()  # [% of the first]
    days_between: int = 0
    pick_weeks: int = 0
    stands_good: int = 7  # [days]
    light_response: int = 50  # [%]


@dataclass(frozen=True, slots=True)
class Item:
    """One item that is sold; `contains` is of `contains_unit` for one unit."""

    name: str
    unit: str
    category: str
    keeps: int
    price: str
    cutting_cost: str
    unit_cost: str  # grown and picked, as the farm reckons it
    leftover_value: str
    parts: tuple[tuple[str, int], ...]
    step: str = "1"
    contains: str = ""
    contains_unit: str = ""


@dataclass(frozen=True, slots=True)
class Market:
    """One market: its weekday, hours and season."""

    name: str
    weekday: int
    opens: int  # [min after midnight]
    closes: int
    season: tuple[tuple[date, date], ...]


SHELF, NURSERY, FINISHING, BENCH, BED = "seedling shelf", "nursery channel", "finishing channel", "bench", "bed"
SPACES: tuple[tuple[str, str, int], ...] = (
    *((f"S-{n}", SHELF, 8) for n in range(1, 4)),
    *((f"N-{n}", NURSERY, 72) for n in range(1, 9)),
    *((f"F-{n:02d}", FINISHING, 20) for n in range(1, 49)),
    *((f"B-{n:02d}", BENCH, 16) for n in range(1, 17)),
    *((f"Bed {letter}", BED, 130) for letter in "ABCD"),
)


def _head(name: str, days: int) -> Variety:
    stages = (
        Stage("shelf", SHELF, 14, 72, 93),
        Stage("nursery", NURSERY, 14, 1, 96),
        Stage("finishing", FINISHING, days, 1, 93),
    )
    return Variety(name, "lettuce", "lettuce", "half tray", 36, "2.40", stages, "head", "head", "1", stands_good=12)


def _leaf(name: str, crop: str, category: str, days: int, between: int, cost: str, each: str = "0.016") -> Variety:
    stages = (Stage("bench", BENCH, days, 100, 95),)
    return Variety(
        name, crop, category, "tray", 100, cost, stages, "cut", "lb", each,
        packed=92, cuttings=(100, 70), days_between=between, stands_good=8,
    )  # fmt: skip


def _bed(name: str, crop: str, days: int, per_foot: int, each: str, category: str = "cooking greens") -> Variety:
    stages = (Stage("shelf", SHELF, 28, 72, 92), Stage("bed", BED, days, per_foot, 95))
    return Variety(
        name, crop, category, "half tray", 36, "2.00", stages, "picked", "bunch", each,
        pick_weeks=14, stands_good=14,
    )  # fmt: skip


def _basil(name: str) -> Variety:
    stages = (Stage("shelf", SHELF, 21, 72, 90), Stage("bench", BENCH, 30, 12, 96))
    return Variety(
        name, "basil", "herbs", "half tray", 36, "2.80", stages, "picked", "bunch", "0.25",
        pick_weeks=11, stands_good=10,
    )  # fmt: skip


VARIETIES = (
    _head("green butterhead", 28),
    _head("red oakleaf", 27),
    _head("green romaine", 31),
    _leaf("green baby lettuce", "lettuce", "salad", 26, 15, "1.90"),
    _leaf("red baby lettuce", "lettuce", "salad", 27, 16, "1.90"),
    _leaf("mizuna", "mizuna", "salad", 21, 12, "1.50", "0.018"),
    _leaf("wide-leaf arugula", "arugula", "salad", 22, 13, "1.60"),
    Variety(
        "leafy cilantro", "cilantro", "herbs", "tray", 60, "1.70", (Stage("bench", BENCH, 34, 60, 94),), "cut",
        "bunch", "0.17", cuttings=(100, 60), days_between=18, stands_good=9,
    ),
    _basil("sweet basil"),
    _basil("purple basil"),
    _bed("curly kale", "kale", 34, 2, "0.33"),
    _bed("dark flat kale", "kale", 36, 2, "0.33"),
    _bed("rainbow chard", "chard", 30, 3, "0.33"),
    _bed("flat-leaf parsley", "parsley", 38, 4, "0.22", "herbs"),
)  # fmt: skip
VARIETY = {variety.name: variety for variety in VARIETIES}

_MIX = (
    ("green baby lettuce", 45),
    ("red baby lettuce", 25),
    ("mizuna", 20),
    ("wide-leaf arugula", 10),
)
_ARUGULA = (("wide-leaf arugula", 100),)
ITEMS = (
    Item("butterhead lettuce", "head", "lettuce", 7, "3.50", "0.25", "1.10", "0.20", (("green butterhead", 100),)),
    Item("red oakleaf lettuce", "head", "lettuce", 6, "3.50", "0.25", "1.10", "0.20", (("red oakleaf", 100),)),
    Item("romaine lettuce", "head", "lettuce", 8, "3.75", "0.25", "1.20", "0.20", (("green romaine", 100),)),
    Item("salad mix bag", "bag", "salad", 5, "5.00", "0.60", "1.80", "0.30", _MIX, "1", "150", "g"),
    Item("salad mix loose", "lb", "salad", 5, "12.00", "1.00", "4.40", "0.60", _MIX, "0.25"),
    Item("arugula bag", "bag", "salad", 5, "4.50", "0.60", "1.70", "0.30", _ARUGULA, "1", "150", "g"),
    Item("sweet basil", "bunch", "herbs", 4, "3.00", "0.30", "0.95", "0.00", (("sweet basil", 100),)),
    Item("purple basil", "bunch", "herbs", 4, "3.00", "0.30", "0.95", "0.00", (("purple basil", 100),)),
    Item("cilantro", "bunch", "herbs", 6, "2.50", "0.25", "0.80", "0.10", (("leafy cilantro", 100),)),
    Item("flat-leaf parsley", "bunch", "herbs", 9, "2.50", "0.25", "0.75", "0.20", (("flat-leaf parsley", 100),)),
    Item("curly kale", "bunch", "cooking greens", 8, "3.50", "0.30", "1.00", "0.40", (("curly kale", 100),)),
    Item("dark flat kale", "bunch", "cooking greens", 8, "3.50", "0.30", "1.00", "0.40", (("dark flat kale", 100),)),
    Item("rainbow chard", "bunch", "cooking greens", 6, "3.25", "0.30", "1.00", "0.30", (("rainbow chard", 100),)),
)  # fmt: skip
ITEM = {item.name: item for item in ITEMS}
CARRIED = frozenset(("curly kale", "dark flat kale"))  # what comes back on Saturday is sold first on Wednesday
# (item, first day, price): the only prices that changed
PRICE_RISES = (("salad mix bag", date(2026, 6, 17), "5.50"), ("sweet basil", date(2026, 4, 1), "3.25"))

SATURDAY = Market(
    "Quillby Green", SAT, 480, 780,
    ((date(2025, 4, 5), date(2025, 12, 20)), (date(2026, 4, 4), date(2026, 12, 19))),
)  # fmt: skip
WEDNESDAY = Market(
    "Mill Yard", WED, 900, 1140,
    ((date(2025, 5, 7), date(2025, 10, 29)), (date(2026, 5, 6), date(2026, 10, 28))),
)  # fmt: skip
MARKETS = (WEDNESDAY, SATURDAY)
CLOSED = (  # (day, market or "" for the whole farm, reason)
    (date(2025, 11, 29), SATURDAY.name, "holiday weekend, no market"),
    (date(2026, 7, 4), SATURDAY.name, "holiday, no market"),
    (date(2026, 11, 28), SATURDAY.name, "holiday weekend, no market"),
)
CALLED_OFF = {  # known only on the morning
    (date(2025, 7, 9), WEDNESDAY.name): "thunderstorm",
    (date(2025, 12, 6), SATURDAY.name): "snow",
    (date(2026, 6, 24), WEDNESDAY.name): "thunderstorm",
    (date(2026, 8, 8), SATURDAY.name): "gale warning",
}

INN, GROCER, CAFE, BOX = "Quillby Inn kitchen", "Lantern Street grocer", "Three Chairs cafe", "Thursday box"
BUYERS = ((INN, TUE), (GROCER, FRI), (CAFE, FRI))
ORDERS = (  # (buyer, item, amount each week, first month, last month)
    (INN, "butterhead lettuce", 18, 4, 12),
    (INN, "salad mix loose", 3, 4, 12),
    (INN, "flat-leaf parsley", 6, 6, 11),
    (GROCER, "salad mix bag", 12, 4, 12),
    (GROCER, "sweet basil", 10, 6, 9),
    (GROCER, "curly kale", 10, 6, 12),
    (CAFE, "romaine lettuce", 10, 4, 12),
    (CAFE, "arugula bag", 6, 4, 12),
    (CAFE, "cilantro", 5, 5, 11),
)
BOX_SIZES = (("full", 24), ("half", 16))  # 40 households
BOX_FILLS = (  # (size, item, amount in each, first month, last month)
    ("full", "butterhead lettuce", 1, 6, 11),
    ("full", "salad mix bag", 1, 6, 11),
    ("full", "curly kale", 1, 6, 11),
    ("full", "rainbow chard", 1, 7, 10),
    ("full", "flat-leaf parsley", 1, 6, 11),
    ("half", "red oakleaf lettuce", 1, 6, 11),
    ("half", "salad mix bag", 1, 6, 11),
    ("half", "cilantro", 1, 6, 10),
)
BOX_WEEKS = {2025: (23, 46), 2026: (23, 46)}  # ISO weeks

WEEKLY_PARTS = {  # what the farm sows every Monday out of habit, from February on
    "green butterhead": (4, 3),
    "red oakleaf": (1, 1),
    "green romaine": (1, 2),
    "green baby lettuce": (8, 8),
    "red baby lettuce": (4, 4),
    "mizuna": (3, 2),
    "wide-leaf arugula": (5, 6),
    "leafy cilantro": (5, 5),
}
DATED_PARTS = {  # crops that are picked for weeks: (month, day) of sowing and parts
    "sweet basil": (((2, 16), 7), ((4, 27), 8), ((7, 6), 7)),
    "purple basil": (((3, 23), 2), ((6, 15), 2)),
    "curly kale": (((2, 16), 4), ((5, 11), 4), ((7, 20), 4)),
    "dark flat kale": (((2, 23), 3), ((6, 1), 3)),
    "rainbow chard": (((2, 23), 4), ((5, 25), 4), ((8, 3), 2)),
    "flat-leaf parsley": (((2, 16), 6), ((5, 18), 6), ((7, 27), 4)),
}
NEW_IN_2026 = frozenset(("purple basil",))

OWN_PRICES = (  # what regular buyers pay
    (INN, "butterhead lettuce", "2.50"),
    (INN, "salad mix loose", "9.00"),
    (INN, "flat-leaf parsley", "1.80"),
    (GROCER, "salad mix bag", "3.75"),
    (GROCER, "sweet basil", "2.20"),
    (GROCER, "curly kale", "2.50"),
    (CAFE, "romaine lettuce", "2.75"),
    (CAFE, "arugula bag", "3.40"),
    (CAFE, "cilantro", "1.90"),
)
WINTER = (  # (first day, last day, outlet or "" for the whole farm, reason)
    (date(2025, 10, 30), date(2026, 5, 5), WEDNESDAY.name, "no afternoon market in the cold months"),
    (date(2025, 12, 21), date(2026, 4, 3), "", "winter rest"),
    (date(2026, 10, 29), date(2026, 12, 31), WEDNESDAY.name, "no afternoon market in the cold months"),
)
SPRAYED = (  # (space, day, minute, product, job, days before harvest, hours before entry): label facts made up
    ("Bed B", date(2026, 8, 17), 18 * 60, "soap spray (invented label)", "spray", 0, 4),
    ("Bed C", date(2026, 9, 6), 17 * 60 + 30, "caterpillar spray (invented label)", "spray", 3, 12),
)
GROWER, CREW = "Maud", "Tobin"


def price_of(item: str, day: date) -> str:
    """Price of one unit on that day, as written on the sign."""
    price = ITEM[item].price
    for name, first, risen in PRICE_RISES:
        if name == item and day >= first:
            price = risen
    return price


def market_on(day: date) -> Market | None:
    """The market that is planned for that day; closed days have none."""
    for market in MARKETS:
        in_season = any(first <= day <= last for first, last in market.season)
        if in_season and day.weekday() == market.weekday:
            closed = any(day == when and name in {"", market.name} for when, name, _why in CLOSED)
            return None if closed else market
    return None
