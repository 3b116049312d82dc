"""The hidden world of the invented farm: weather, customers, true growth and true losses. Core never sees it."""

import math
from collections.abc import Sequence
from datetime import date
from random import Random

from farmops.proving.demo_farm.facts import LATITUDE, SATURDAY, SEED, Market, Variety, price_of

# Usual customers' wish on a good day in units (weight in steps): Saturday morning, Wednesday afternoon.
BASE = {
    "butterhead lettuce": (46, 22),
    "red oakleaf lettuce": (21, 9),
    "romaine lettuce": (26, 17),
    "salad mix bag": (44, 21),
    "salad mix loose": (34, 12),
    "arugula bag": (23, 14),
    "sweet basil": (52, 27),
    "purple basil": (12, 8),
    "cilantro": (30, 23),
    "flat-leaf parsley": (19, 7),
    "curly kale": (24, 8),
    "dark flat kale": (17, 10),
    "rainbow chard": (18, 8),
}
# (peak day of the year, width in days, floor): wish follows floor + (1 - floor) * bell; the crowd has its own below.
LIKED = {
    "butterhead lettuce": (175, 75, 0.6),
    "red oakleaf lettuce": (165, 80, 0.6),
    "romaine lettuce": (200, 75, 0.55),
    "salad mix bag": (170, 90, 0.7),
    "salad mix loose": (170, 90, 0.7),
    "arugula bag": (145, 90, 0.65),
    "sweet basil": (215, 45, 0.2),
    "purple basil": (215, 45, 0.25),
    "cilantro": (225, 60, 0.5),
    "flat-leaf parsley": (300, 90, 0.7),
    "curly kale": (310, 80, 0.5),
    "dark flat kale": (315, 75, 0.45),
    "rainbow chard": (285, 85, 0.55),
}
ELASTICITY = -0.9
RAIN_KEEPS = {SATURDAY.name: 0.68}  # share of customers who come in rain; elsewhere:
RAIN_KEEPS_ELSEWHERE = 0.85
PAIRS = 0.18  # customers who take two
# True days and yields against the farm's own list; the list is hopeful for some and too careful for others.
TRUE_DAYS = {
    "green butterhead": 1.06, "red oakleaf": 0.97, "green romaine": 1.09, "green baby lettuce": 1.04,
    "red baby lettuce": 1.08, "leafy cilantro": 1.05, "sweet basil": 1.02, "flat-leaf parsley": 1.1,
}  # fmt: skip
TRUE_RESPONSE = 0.85  # light sets the pace a little less than the farm's list says
TRUE_YIELD = {"wide-leaf arugula": 1.1, "green baby lettuce": 0.9, "sweet basil": 0.92, "curly kale": 1.12}


def stream(*names: object) -> Random:
    """Random numbers of their own for each named thing, so that no draw depends on what was drawn before."""
    return Random("/".join(str(name) for name in (SEED, *names)))


def normal(rng: Random) -> float:
    """A standard normal draw from two uniform ones (the same on every Python version)."""
    return math.sqrt(-2 * math.log(1 - rng.random())) * math.cos(2 * math.pi * rng.random())


def gamma_mean_one(rng: Random, shape: int) -> float:
    """A gamma draw of mean 1 and whole shape: a sum of exponentials."""
    return sum(-math.log(1 - rng.random()) for _ in range(shape)) / shape


def poisson(rng: Random, mean: float) -> int:
    """A Poisson draw by counting exponential gaps."""
    count, reached = -1, 0.0
    while reached < mean:
        reached += -math.log(1 - rng.random())
        count += 1
    return max(count, 0)


def survivors(rng: Random, plants: int, share: float) -> int:
    """How many of `plants` live."""
    return sum(rng.random() < share for _ in range(plants))


def is_rainy(day: date, market: Market) -> bool:
    """Whether it rains on that market day."""
    chance = 0.34 if day.month in {4, 5, 10, 11, 12} else 0.2
    return stream("rain", market.name, day).random() < chance


def light(day: date) -> float:
    """Daily sun above the clouds against 21 March, from latitude and declination alone. [-]"""

    def above_clouds(of_year: int) -> float:
        tilt = math.radians(23.44) * math.sin(2 * math.pi * (of_year - 80) / 365)
        north = math.radians(LATITUDE)
        half_day = math.acos(max(-1.0, min(1.0, -math.tan(north) * math.tan(tilt))))
        return half_day * math.sin(north) * math.sin(tilt) + math.cos(north) * math.cos(tilt) * math.sin(half_day)

    return above_clouds(day.timetuple().tm_yday) / above_clouds(80)


def pace(day: date, variety: Variety) -> float:
    """Growth of one day, in days of late March; a cool dull week slows everything."""
    spell = math.exp(0.06 * normal(stream("spell", day.isocalendar()[:2])))
    return spell * math.pow(light(day), TRUE_RESPONSE * variety.light_response / 100)


def days_factor(planting: str, variety: Variety) -> float:
    """How much longer (or shorter) this planting takes than the farm's list says. [-]"""
    return TRUE_DAYS.get(variety.name, 1.0) * math.exp(0.09 * normal(stream("days", planting)))


def yield_factor(planting: str, variety: Variety) -> float:
    """How much more (or less) this planting yields than the farm's list says. [-]"""
    return TRUE_YIELD.get(variety.name, 1.0) * math.exp(0.12 * normal(stream("yield", planting)))


def stage_survival(planting: str, stage: int, listed: int) -> float:
    """True share that leaves a stage alive (or, of the last, is saleable)."""
    return max(0.3, min(0.99, listed / 100 + 0.04 * normal(stream("survive", planting, stage))))


def crowd(day: date, market: Market) -> float:
    """How busy the market's season is, drift from year to year and week to week included."""
    of_year = day.timetuple().tm_yday
    width = 80 if market is SATURDAY else 55
    season = 0.55 + 0.45 * math.exp(-(((of_year - 205) / width) ** 2) / 2)
    grown = 1.0 if day.year == 2025 else 1.08
    return season * grown


def drift(item: str, day: date) -> float:
    """Slow change of taste for one item: small steps every week, from the first week of 2025."""
    weeks = (day - date(2025, 1, 6)).days // 7
    rng = stream("drift", item)
    return math.exp(sum(0.02 * normal(rng) for _ in range(weeks)))


def usual_wish(day: date, market: Market, item: str, rain: bool) -> float:
    """Mean of what is wanted that day, in units (weight: steps). [units]"""
    base = BASE[item][0 if market is SATURDAY else 1]
    peak, width, floor = LIKED[item]
    apart = abs(day.timetuple().tm_yday - peak)
    liked = floor + (1 - floor) * math.exp(-((min(apart, 365 - apart) / width) ** 2) / 2)
    price = math.pow(float(price_of(item, day)) / float(price_of(item, date(2025, 1, 1))), ELASTICITY)
    wet = RAIN_KEEPS.get(market.name, RAIN_KEEPS_ELSEWHERE) if rain else 1.0
    return base * liked * crowd(day, market) * drift(item, day) * price * wet


def _arrival(rng: Random, market: Market) -> float:
    """Minute of arrival: Saturday comes early and thins out, Wednesday comes after work."""
    low, peak, high = (0.0, 0.22, 0.62) if rng.random() < 0.6 else (0.0, 0.45, 1.0)
    if market is not SATURDAY:
        low, peak, high = (0.25, 0.62, 0.95) if rng.random() < 0.65 else (0.0, 0.4, 1.0)
    share, turn = rng.random(), (peak - low) / (high - low)
    if share < turn:
        place = low + math.sqrt(share * (high - low) * (peak - low))
    else:
        place = high - math.sqrt((1 - share) * (high - low) * (high - peak))
    return market.opens + place * (market.closes - market.opens)


def customers(day: date, market: Market, item: str) -> Sequence[tuple[float, int]]:
    """Everybody who would take the item that day: (minute, units), in order of coming."""
    rng = stream("wish", day, market.name, item)
    busy = gamma_mean_one(stream("busy", day, market.name), 60)
    mean = usual_wish(day, market, item, is_rainy(day, market)) * busy * gamma_mean_one(rng, 12)
    count = poisson(rng, mean / (1 + PAIRS))
    return sorted((_arrival(rng, market), 2 if rng.random() < PAIRS else 1) for _ in range(count))
