"""The invented farm of the sowing seasons: fourteen varieties, two markets, standing orders, room. All made up."""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from farmops.core.sizing import Item, Market, Problem, Promise, Space, market_pieces
from farmops.proving.sizing_farms import (
    KINDS,
    UNLIMITED,
    Crop,
    demand_chances,
    invented_crops,
    limited_room,
    sowing_of,
)
from farmops.proving.worlds.calm import EARLY_RUSH
from farmops.proving.worlds.draws import dry_mean, usual_mean
from farmops.proving.worlds.parts import Item as Sold
from farmops.proving.worlds.parts import Market as Stall
from farmops.proving.worlds.parts import Season, World

FARM_SEED = 4
VARIETIES = 14
STARTS = date(2023, 1, 2)  # the Monday of week 0; weeks of the year are counted from it
YEAR = 52
LOOKED_AT = 26  # weeks ahead of the weekly plan
BEYOND = 20
BEYOND_STEP = 4  # weeks for which the mean need beyond the horizon is taken as one
PROMISED_EVERY, PROMISED_SHARE, PROMISED_PRICE = 3, 0.25, 0.8
KEEP_LOSS = 0.1  # of what is kept cold, in each week
ROOM_FROM, ROOM_WEEKS = 8, 60  # weeks over which the room that would be used without limits is looked at
SATURDAY, WEDNESDAY = 1.0, 0.45  # sizes of the two markets
Mean = Callable[[int, int], float]  # of an item in a week, over all its markets
CALM = {"day_spread": 40.0, "item_spread": 8.0}


@dataclass(frozen=True, slots=True)
class Farm:
    """What stays the same in all seasons. places: of each kind of space."""

    crops: tuple[Crop, ...]
    world: World
    places: Mapping[str, float]

    def day(self, week: int, market: Stall) -> date:
        """The market's day in a week."""
        return STARTS + timedelta(days=7 * week + market.weekday)

    def usual(self, item: int, week: int, market: Stall) -> float:
        """Pieces usually asked for on the day, before the season's own ups and downs."""
        sold, day = self.world.items[item], self.day(week, market)
        return usual_mean(self.world, market, sold, dry_mean(self.world, market, sold, day, 0, sold.price, 0.0))

    def promised(self, item: int, week: int) -> float:
        """Pieces that buyers have ordered for the week, known long before."""
        if item % PROMISED_EVERY:
            return 0.0
        return float(round(PROMISED_SHARE * sum(self.usual(item, week, market) for market in self.world.markets)))


def world_of(crops: tuple[Crop, ...], item_spread: float) -> World:
    """The two markets and their customers; item_spread sets how far days lie apart."""
    return World(
        name="sown_farm",
        story="Fourteen varieties for a big Saturday and a small Wednesday; three sell-out times in ten are not noted.",
        starts=STARTS,
        markets=(
            Stall("Wednesday", 2, 480, 780, EARLY_RUSH, WEDNESDAY, 0.75),
            Stall("Saturday", 5, 480, 780, EARLY_RUSH, SATURDAY, 0.75),
        ),
        items=tuple(
            Sold(
                crop.key,
                crop.grows,
                round(crop.demand / (SATURDAY + WEDNESDAY), 1),
                crop.price,
                crop.cutting,
                season=Season(round(crop.peak, 1), 11.0, 11.0, 0.5),
            )
            for crop in crops
        ),
        day_spread=CALM["day_spread"],
        item_spread=item_spread,
        walk=0.012,
        weather_told=False,
        called_off=0.0,
        forgotten=0.3,
    )


def crops_of_farm(count: int = VARIETIES) -> tuple[Crop, ...]:
    return tuple(invented_crops(count, random.Random(FARM_SEED)))


@lru_cache(maxsize=8)
def farm_of(room: float, item_spread: float = CALM["item_spread"], varieties: int = VARIETIES) -> Farm:
    """The farm with room for so much of the 85th percentile of what it would use without limits."""
    crops = crops_of_farm(varieties)
    farm = Farm(crops, world_of(crops, item_spread), dict.fromkeys(KINDS, UNLIMITED))
    spaces = limited_room(_usual_year(farm), room)
    return Farm(crops, farm.world, {space.kind: space.places[0] for space in spaces})


def _usual_year(farm: Farm) -> Problem:
    weeks = range(ROOM_FROM, ROOM_FROM + ROOM_WEEKS)
    return Problem(
        weeks=ROOM_WEEKS,
        spaces=tuple(Space(kind, (UNLIMITED,) * ROOM_WEEKS) for kind in KINDS),
        items=items_at(farm, lambda item, week: sum(farm.usual(item, week, one) for one in farm.world.markets), weeks),
        sowings=tuple(sowing_of(crop, week - ROOM_FROM, ROOM_FROM) for crop in farm.crops for week in weeks),
        promises=promises_at(farm, weeks),
        markets=tuple(
            _usual_market(farm, item, week, market)
            for item in range(len(farm.crops))
            for week in weeks
            for market in farm.world.markets
        ),
    )


def _usual_market(farm: Farm, item: int, week: int, market: Stall) -> Market:
    crop, mean = farm.crops[item], farm.usual(item, week, market)
    pieces = market_pieces(demand_chances(mean), crop.price)
    name = f"{market.name} {crop.key} {week}"
    return Market(name, crop.key, week - ROOM_FROM, pieces, crop.price, mean=mean)


def items_at(
    farm: Farm, mean: Mean, weeks: range, stock: Mapping[int, tuple[float, ...]] | None = None
) -> tuple[Item, ...]:
    """Items as the programme takes them, seen from the first of these weeks."""
    return tuple(
        Item(
            crop.key,
            cutting=crop.cutting,
            keeps=crop.keeps,
            keep_loss=KEEP_LOSS if crop.keeps else 0.0,
            stock=(stock or {}).get(at, ()),
            beyond=tuple(mean(at, week - week % BEYOND_STEP) for week in range(weeks.stop, weeks.stop + BEYOND)),
            beyond_price=crop.price,
        )
        for at, crop in enumerate(farm.crops)
    )


def promises_at(farm: Farm, weeks: range) -> tuple[Promise, ...]:
    """Orders of these weeks, counted from the first of them."""
    return tuple(
        Promise(
            f"order {crop.key} {week}",
            crop.key,
            week - weeks.start,
            farm.promised(at, week),
            PROMISED_PRICE * crop.price,
            crop.price,
        )
        for at, crop in enumerate(farm.crops)
        for week in weeks
        if farm.promised(at, week) > 0
    )
