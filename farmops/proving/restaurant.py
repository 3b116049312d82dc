"""A restaurant's real daily demand turned into the notebook of a stall that keeps running out.

Real: date, rain and each day's total demand per item (fixtures/restaurant/daily_demand.csv, BSD 3-Clause). Made up
here, with a fixed seed: which days are market days, the stock that was brought, the time of day of each sale (two busy
spells between 08:00 and 13:00), the forgotten times, the prices.
"""

import csv
import random
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from farmops.proving.worlds.notebook import Record, clock

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "restaurant"
NOT_ITEMS = {"date", "closed", "holiday", "rain_mm", "temperature_c"}
MARKETS = {2: "Wednesday", 5: "Saturday"}
OPENS, CLOSES = 480, 780  # minutes after midnight
FORGOTTEN = 0.15
RECENT_DAYS = 30
RAIN_MM = 1.0


@dataclass(frozen=True, slots=True)
class Noted:
    """One line of the notebook, and the true demand of that item and day, which no estimator is shown."""

    record: Record
    demand: int


def sale_times(rng: random.Random, count: int) -> list[float]:
    """Times of `count` sales as shares of the opening hours, sorted: an early and a late busy spell."""
    return sorted(rng.betavariate(3, 9) if rng.random() < 0.55 else rng.betavariate(9, 5) for _ in range(count))


def market_rows(folder: Path = FOLDER) -> list[dict[str, str]]:
    """The file's rows of open Wednesdays and Saturdays, in order."""
    with open(folder / "daily_demand.csv", newline="", encoding="utf-8") as source:
        rows = list(csv.DictReader(source))
    return [row for row in rows if row["closed"] == "0" and date.fromisoformat(row["date"]).weekday() in MARKETS]


def cut_off(share: float, seed: int = 1, folder: Path = FOLDER) -> list[Noted]:
    """The notebook and the truth, in order of day and item.

    Parameters
    ----------
    share : float in (0, 1)
        About the share of days on which an item runs out: stock is that low quantile of its last thirty days' demand,
        give or take a tenth.
    seed : int
    folder : Path
        Where daily_demand.csv stands.
    """
    if not 0 < share < 1:
        raise ValueError(f"the share of days that run out must lie between 0 and 1, got {share}")
    rng = random.Random(seed)
    rows = market_rows(folder)
    items = [name for name in rows[0] if name not in NOT_ITEMS]
    prices = {item: round(rng.uniform(2.5, 4.5) * 4) / 4 for item in items}
    recent: dict[str, list[int]] = defaultdict(list)
    noted = []
    for row in rows:
        for item in items:
            demand = int(row[item])
            window = sorted(recent[item][-RECENT_DAYS:]) or [max(demand, 1)]
            stock = max(1, window[min(len(window) - 1, int(len(window) * (1 - share)))])
            stock = max(1, round(stock * rng.uniform(0.9, 1.1)))
            recent[item].append(demand)
            noted.append(Noted(_line(row, item, prices[item], stock, demand, rng), demand))
    return noted


def _line(row: dict[str, str], item: str, price: float, stock: int, demand: int, rng: random.Random) -> Record:
    at = None
    if demand >= stock:
        minutes = sale_times(rng, demand)[stock - 1] * (CLOSES - OPENS)
        if rng.random() > FORGOTTEN:
            at = clock(OPENS + min(CLOSES - OPENS, 5 * -(-int(minutes) // 5)))
    sold = min(stock, demand)
    return Record(
        date=row["date"],
        market=MARKETS[date.fromisoformat(row["date"]).weekday()],
        opens=clock(OPENS),
        closes=clock(CLOSES),
        item=item,
        category="",
        brought=stock,
        carried_in=0,
        sold=sold,
        left=stock - sold,
        sold_out=demand >= stock,
        sold_out_at=at,
        price=price,
        weather="rain" if float(row["rain_mm"]) >= RAIN_MM else "dry",
        cancelled=False,
    )
