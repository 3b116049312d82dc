"""The hidden world written down, for tests and proving only: what the farm and its software never see."""

from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

from farmops.proving.demo_farm import hidden
from farmops.proving.demo_farm.facts import ITEMS, MARKETS, TODAY, market_on
from farmops.proving.demo_farm.records import Row
from farmops.proving.demo_farm.season import Season, run
from farmops.proving.demo_farm.sheets import sheet_text


def _demand(season: Season) -> Iterable[Row]:
    """Market days that took place: counts in steps; `usual` is the mean of such a day."""
    for row in season.truth:
        yield {
            "date": row.day.isoformat(),
            "market": row.market,
            "item": row.item,
            "usual": f"{row.usual:.2f}",
            "wanted": str(row.wanted),
            "turned_away": str(row.turned_away),
        }


def _to_come(_season: Season) -> Iterable[Row]:
    """Market days from today on: the mean of a dry and of a wet day, in steps."""
    day, last = TODAY, max(last for market in MARKETS for _first, last in market.season)
    while day <= last:
        market = market_on(day)
        for item in ITEMS if market else ():
            if market:
                yield {
                    "date": day.isoformat(),
                    "market": market.name,
                    "item": item.name,
                    "dry": f"{hidden.usual_wish(day, market, item.name, False):.2f}",
                    "rain": f"{hidden.usual_wish(day, market, item.name, True):.2f}",
                }
        day += timedelta(days=1)


def _growth(season: Season) -> Iterable[Row]:
    """Each planting: how much longer it takes and more it yields than the farm's list says, and its stages' ends."""
    for planting in season.greenhouse.plantings:
        ends: dict[int, date] = dict(planting.stage_days)
        yield {
            "planting": planting.name,
            "variety": planting.variety.name,
            "days_factor": f"{planting.factor:.3f}",
            "yield_factor": f"{planting.yields:.3f}",
            "stage_ends": ";".join(f"{stage}={ends[stage].isoformat()}" for stage in sorted(ends)),
        }


def write_truth(folder: Path, season: Season | None = None) -> list[Path]:
    """Write demand, demand to come and growth as they truly are into `folder`; what was written."""
    season = run() if season is None else season
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, rows in (("demand", _demand), ("to_come", _to_come), ("growth", _growth)):
        made = list(rows(season))
        path = folder / f"true_{name}.csv"
        path.write_bytes(sheet_text(made[0], made).encode("utf-8"))
        written.append(path)
    return written
