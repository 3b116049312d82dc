"""The invented farm as a folder of sheets: exactly the columns of the exchange, the same bytes every time."""

import csv
import io
from collections.abc import Callable, Iterable
from datetime import date, timedelta
from pathlib import Path

from farmops.exchange.sheets.columns import SHEETS
from farmops.proving.demo_farm import records
from farmops.proving.demo_farm.facts import (
    BOX,
    BOX_FILLS,
    BOX_SIZES,
    BOX_WEEKS,
    BUYERS,
    CLOSED,
    FARM_NAME,
    ITEMS,
    LATITUDE,
    MARKETS,
    NEW_IN_2026,
    ORDERS,
    OWN_PRICES,
    PRICE_RISES,
    SPACES,
    VARIETIES,
    WINTER,
)
from farmops.proving.demo_farm.records import Row, clock
from farmops.proving.demo_farm.season import Season, run

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
YEARS = (2025, 2026)


def _month_ends(year: int, month: int) -> date:
    return date(year + month // 12, month % 12 + 1, 1) - timedelta(days=1)


def _farm(_season: Season) -> Iterable[Row]:
    yield {
        "name": FARM_NAME,
        "latitude": f"{LATITUDE}",
        "time_zone": "America/New_York",
        "units": "lb",
        "currency": "USD",
        "paper": "letter",
        "harvest_days": "tue;fri",
        "season_first_day": "2025-04-01",
        "season_last_day": "2026-12-19",
        "dark_pace": "70",
    }


def _varieties(_season: Season) -> Iterable[Row]:
    for variety in VARIETIES:
        yield {
            "variety": variety.name,
            "crop": variety.crop,
            "category": variety.category,
            "part": variety.part,
            "part_plants": str(variety.part_plants),
            "part_cost": variety.part_cost,
            "sow_first_day": "02-01",
            "sow_last_day": "08-10" if variety.harvest == "picked" else "10-05",
        }


def _schedules(_season: Season) -> Iterable[Row]:
    for variety in VARIETIES:
        for number, stage in enumerate(variety.stages, 1):
            row = {
                "variety": variety.name,
                "stage": str(number),
                "stage_name": stage.name,
                "kind": stage.kind,
                "days": str(stage.days),
                "days_at": "03-20",
                "light_response": str(variety.light_response),
                "plants_per_place": str(stage.plants_per_place),
                "survive": str(stage.survive),
            }
            if number == len(variety.stages):
                row |= {
                    "harvest": variety.harvest,
                    "unit": variety.unit,
                    "units_per_plant": variety.units_per_plant,
                    "packed": str(variety.packed),
                    "cuttings": ";".join(str(share) for share in variety.cuttings),
                    "days_between": str(variety.days_between or ""),
                    "pick_weeks": str(variety.pick_weeks or ""),
                    "stands_good_days": str(variety.stands_good),
                }
            yield row


def _spaces(_season: Season) -> Iterable[Row]:
    for space, kind, places in SPACES:
        yield {"space": space, "kind": kind, "places": str(places)}


def _items(_season: Season) -> Iterable[Row]:
    for item in ITEMS:
        yield {
            "item": item.name,
            "unit": item.unit,
            "step": item.step,
            "category": item.category,
            "keeps_days": str(item.keeps),
            "contains": item.contains,
            "contains_unit": item.contains_unit,
            "cutting_cost": item.cutting_cost,
            "leftover_value": item.leftover_value,
            "keep_loss": "10",
        }


def _item_parts(_season: Season) -> Iterable[Row]:
    for item in ITEMS:
        for variety, share in item.parts:
            row = {"item": item.name, "variety": variety, "share": str(share)}
            if len(item.parts) > 1:  # a strong leaf never more than its share; the mild ones make up for one another
                row |= {"at_least": "0", "at_most": str(share if share <= 10 else min(90, share + 35))}
            yield row


def _outlets(_season: Season) -> Iterable[Row]:
    for market in MARKETS:
        yield {
            "outlet": market.name,
            "kind": "market",
            "weekday": WEEKDAYS[market.weekday],
            "opens": clock(market.opens),
            "closes": clock(market.closes),
            "first_day": market.season[0][0].isoformat(),
            "last_day": market.season[-1][1].isoformat(),
        }
    for buyer, weekday in BUYERS:
        yield {"outlet": buyer, "kind": "buyer", "weekday": WEEKDAYS[weekday], "first_day": "2025-04-01"}
    yield {"outlet": BOX, "kind": "box", "weekday": "thu"}


def _prices(_season: Season) -> Iterable[Row]:
    for item in ITEMS:
        yield {"item": item.name, "price": item.price}
        for name, first, price in PRICE_RISES:
            if name == item.name:
                yield {"item": name, "from": first.isoformat(), "price": price}
    for outlet, item_name, price in OWN_PRICES:
        yield {"item": item_name, "outlet": outlet, "price": price}


def _standing_orders(_season: Season) -> Iterable[Row]:
    weekday = dict(BUYERS)
    for buyer, item, amount, first, last in ORDERS:
        for year in YEARS:
            yield {
                "buyer": buyer,
                "item": item,
                "weekday": WEEKDAYS[weekday[buyer]],
                "amount": str(amount),
                "first_day": date(year, first, 1).isoformat(),
                "last_day": min(_month_ends(year, last), date(year, 12, 19)).isoformat(),
            }


def _box_counts(_season: Season) -> Iterable[Row]:
    for size, item, amount, first, last in BOX_FILLS:
        for year in YEARS:
            tuesdays = [
                date.fromisocalendar(year, week, 2) for week in range(BOX_WEEKS[year][0], BOX_WEEKS[year][1] + 1)
            ]
            weeks = [day.isocalendar().week for day in tuesdays if first <= day.month <= last]
            yield {
                "box": BOX,
                "week": f"{year}-W{weeks[0]:02d}",
                "last_week": f"{year}-W{weeks[-1]:02d}",
                "size": size,
                "boxes": str(dict(BOX_SIZES)[size]),
                "item": item,
                "amount": str(amount),
            }


def _closed_days(_season: Season) -> Iterable[Row]:
    spans = [(day, day, outlet, reason) for day, outlet, reason in CLOSED] + list(WINTER)
    for first, last, outlet, reason in sorted(spans):
        last_day = "" if first == last else last.isoformat()
        yield {"first_day": first.isoformat(), "last_day": last_day, "outlet": outlet, "reason": reason}


def _seed_lots(season: Season) -> Iterable[Row]:
    for year in YEARS:
        for number, variety in enumerate(VARIETIES, 1):
            if not (variety.name in NEW_IN_2026 and year < 2026):
                yield records.seed_lot(season, variety, number, year)


WRITERS: dict[str, Callable[[Season], Iterable[Row]]] = {
    "farm": _farm,
    "varieties": _varieties,
    "schedules": _schedules,
    "spaces": _spaces,
    "seed_lots": _seed_lots,
    "plantings": records.plantings,
    "stays": records.stays,
    "losses": records.losses,
    "walks": records.walks,
    "picks": records.picks,
    "items": _items,
    "item_parts": _item_parts,
    "outlets": _outlets,
    "prices": _prices,
    "market_days": records.market_days,
    "standing_orders": _standing_orders,
    "box_counts": _box_counts,
    "closed_days": _closed_days,
    "waiting": records.waiting,
}


def sheet_text(columns: Iterable[str], rows: Iterable[Row]) -> str:
    """One sheet as CSV text.

    Raises
    ------
    ValueError
        If a row has a column that the sheet does not have.
    """
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=list(columns), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def write_sheets(folder: Path, season: Season | None = None) -> list[Path]:
    """Write every sheet of the invented farm into `folder`; what was written."""
    season = run() if season is None else season
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for sheet in SHEETS:
        if sheet.name not in WRITERS:
            continue  # nothing of the kind happens on this farm
        path = folder / f"{sheet.name}.csv"
        rows = [{name: text for name, text in row.items() if text} for row in WRITERS[sheet.name](season)]
        columns = [
            column.name for column in sheet.columns if column.required or any(row.get(column.name) for row in rows)
        ]
        path.write_bytes(sheet_text(columns, rows).encode("utf-8"))
        written.append(path)
    return written
