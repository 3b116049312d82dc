"""What the invented farm wrote down of its days: plantings, stays, losses, walks, picks, market days, sprays."""

import math
from collections.abc import Iterable
from datetime import date, timedelta

from farmops.proving.demo_farm import hidden
from farmops.proving.demo_farm.facts import CREW, GROWER, ITEM, SPRAYED, TODAY, Variety, price_of
from farmops.proving.demo_farm.greenhouse import Planting
from farmops.proving.demo_farm.season import Season, StallDay

Row = dict[str, str]


def clock(minute: int | None) -> str:
    """11:40; nothing where it was not noted."""
    return "" if minute is None else f"{minute // 60:02d}:{minute % 60:02d}"


def plain(amount: float) -> str:
    """An amount as people write it: no zeros at the end."""
    return f"{amount:.2f}".rstrip("0").rstrip(".")


def amount_of(item: str, steps: int) -> str:
    """Whole steps in the item's unit."""
    return plain(steps * float(ITEM[item].step))


def seed_lot(season: Season, variety: Variety, number: int, year: int) -> Row:
    """The year's packet of one variety; what is left of it is counted after each sowing."""
    name = f"L{year % 100}-{number:02d}"
    sown = sum(planting.plants for planting in season.greenhouse.plantings if planting.seed_lot == name)
    rng = hidden.stream("seed lot", name)
    packet = 1000 * math.ceil(sown * 1.6 / 1000 + 1)
    germination = min(99, max(70, round(variety.stages[0].survive + 2 + 2 * hidden.normal(rng))))
    return {
        "seed_lot": name,
        "variety": variety.name,
        "supplier": "Fernway Seeds (invented)",
        "their_lot": f"{int(rng.random() * 90000) + 10000}",
        "received": date(year, 1, 12 + number % 7).isoformat(),
        "seeds": str(packet - sown if year == TODAY.year else 0),
        "germination": str(germination),
        "tested": date(year, 1, 27).isoformat(),
    }


def _note(planting: Planting) -> str:
    return "waited for room" if planting.waited >= 7 else ""


def plantings(season: Season) -> Iterable[Row]:
    for planting in season.greenhouse.plantings:
        yield {
            "planting": planting.name,
            "variety": planting.variety.name,
            "sown": planting.sown.isoformat(),
            "plants": str(planting.plants),
            "seed_lot": planting.seed_lot,
            "cleared": planting.cleared.isoformat() if planting.cleared else "",
            "note": _note(planting),
        }


def stays(season: Season) -> Iterable[Row]:
    for planting in season.greenhouse.plantings:
        for stay in planting.stays:
            yield {
                "planting": stay.planting,
                "space": stay.space,
                "plants": str(stay.plants),
                "from": stay.since.isoformat(),
                "to": stay.until.isoformat() if stay.until else "",
                "stage": str(stay.stage),
                "moved_from": stay.moved_from,
            }


def losses(season: Season) -> Iterable[Row]:
    for planting, space, day, plants, cause in season.greenhouse.losses:
        yield {
            "planting": planting,
            "space": space,
            "day": day.isoformat(),
            "plants": str(plants),
            "cause": cause,
        }


def walks(season: Season) -> Iterable[Row]:
    """Sunday evening: what the grower saw of the plantings that are nearly ready or stand ready."""
    day = TODAY - timedelta(days=1)
    for planting in season.greenhouse.growing():
        if not planting.is_last_stage or planting.variety.harvest != "head":
            continue
        row = {"planting": planting.name, "day": day.isoformat(), "by": GROWER, "ready": "", "days_late": ""}
        if planting.on_offer > 0:
            yield row | {"ready": str(5 * round(planting.on_offer / 5))}
        elif planting.ready_on is None:
            days = planting.variety.stages[-1].days
            late = round(days * (planting.factor - 1))
            if planting.grown > 0.7 * days and abs(late) >= 3:
                yield row | {"days_late": str(late)}


def picks(season: Season) -> Iterable[Row]:
    variety = {planting.name: planting.variety for planting in season.greenhouse.plantings}
    for (planting, day, space, cutting), amount in season.greenhouse.picks.items():
        unit = variety[planting].unit
        written = math.ceil(amount * 10 - 1e-6) / 10 if unit == "lb" else round(amount)
        yield {
            "planting": planting,
            "day": day.isoformat(),
            "amount": plain(written),
            "unit": unit,
            "space": space,
            "cutting": str(cutting or ""),
            "by": CREW,
        }


def market_days(season: Season) -> Iterable[Row]:
    return map(_market_row, season.stall)


def _market_row(row: StallDay) -> Row:
    item = ITEM[row.item]
    return {
        "date": row.day.isoformat(),
        "market": row.market.name,
        "opens": clock(row.market.opens),
        "closes": clock(row.market.closes),
        "item": row.item,
        "unit": item.unit,
        "price": price_of(row.item, row.day),
        "brought": amount_of(row.item, row.brought),
        "left_over": "" if row.left is None else amount_of(row.item, row.left),
        "restocked": amount_of(row.item, row.restocked) if row.restocked else "",
        "restocked_at": clock(row.restocked_at),
        "sold_out_at": ";".join(clock(minute) for minute in row.sold_out_at),
        "sold": "" if row.sold is None else amount_of(row.item, row.sold),
        "carried_in": amount_of(row.item, row.carried_in) if row.carried_in else "",
        "unit_cost": item.unit_cost,
        "leftover_value": item.leftover_value,
        "step": item.step if item.step != "1" else "",
        "guess": "" if row.guess is None else amount_of(row.item, row.guess),
        "weather": row.weather,
        "status": "called off" if row.called_off else "",
    }


def waiting(season: Season) -> Iterable[Row]:
    for space, day, minute, product, job, harvest_days, entry_hours in SPRAYED:
        yield {
            "space": space,
            "ended": day.isoformat(),
            "ended_at": clock(minute),
            "product": product,
            "job": job,
            "harvest_days": str(harvest_days),
            "entry_hours": str(entry_hours),
            "by": GROWER,
        }
