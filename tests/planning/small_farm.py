"""A small farm in tables, invented: one lettuce on a shelf and in two channels, one market, a cook and a box."""

from datetime import UTC, date, datetime
from decimal import Decimal

from farmops.farm.models import Farm
from farmops.growing.models import (
    Item,
    ItemPart,
    Leaving,
    Planting,
    Schedule,
    SeedLot,
    Space,
    SpaceKind,
    SpaceSpell,
    Stage,
    Stay,
    Variety,
    Walk,
)
from farmops.selling.models import Outlet, Price
from tests.journal.entries import an_entry

TODAY = date(2026, 5, 4)
NOW = datetime(2026, 5, 4, 13, 0, tzinfo=UTC)


def a_place():
    """The farm, its shelf and its channels N-1, N-2 and N-10, walked in that order."""
    Farm.objects.create(name="Two Brooks (invented)", latitude=Decimal("42.4"), harvest_days="tue;fri")
    shelf = SpaceKind.objects.create(name="shelf", walk_order=1)
    channel = SpaceKind.objects.create(name="channel", walk_order=2)
    for name, kind, places in (("S-1", shelf, 4), ("N-10", channel, 36), ("N-2", channel, 36), ("N-1", channel, 36)):
        SpaceSpell.objects.create(space=Space.objects.create(name=name, kind=kind), places=places)


def a_variety(name="green butterhead"):
    """21 days on the shelf in trays of 72, then 35 in a channel, one plant a place; heads."""
    variety = Variety.objects.create(name=name, crop="lettuce", category="lettuce", part="tray", part_plants=72)
    schedule = Schedule.objects.create(variety=variety, way="head", unit="head", units_per_plant=1, stands_good_days=10)
    for number, (kind, days, plants, survive) in enumerate((("shelf", 21, 72, 90), ("channel", 35, 1, 95)), 1):
        Stage.objects.create(
            schedule=schedule,
            number=number,
            name=kind,
            kind=SpaceKind.objects.get(name=kind),
            days=days,
            light_response_percent=0,
            plants_per_place=plants,
            survive_percent=survive,
        )
    return variety


def an_item(variety, name="butterhead lettuce"):
    item = Item.objects.create(name=name, unit="head", keeps_days=7, category="lettuce")
    ItemPart.objects.create(item=item, variety=variety, share_percent=100)
    Price.objects.create(item=item, price_cents=350)
    return item


def a_market(name="Quay", weekday=5):
    return Outlet.objects.create(name=name, kind="market", weekday=weekday)


def a_planting(variety, code="P26-001", *, sown=date(2026, 3, 9), plants=72, **other):
    """Sown on the shelf, with its seed lot; nothing moved yet."""
    lot, _ = SeedLot.objects.get_or_create(name=f"L-{variety.pk}", variety=variety)
    planting = Planting.objects.create(
        code=code,
        variety=variety,
        schedule=variety.schedules.first(),
        state="done",
        sown_on=sown,
        plants=plants,
        seed_lot=lot,
        entry=an_entry(f"sow {code}", job="sow"),
        **other,
    )
    a_stay(planting, "S-1", plants, sown, stage_number=1)
    return planting


def a_stay(planting, space, plants, from_on, **other):
    entry = an_entry(f"stay {planting.code} {space} {from_on}", job="move")
    return Stay.objects.create(
        planting=planting, space=Space.objects.get(name=space), plants=plants, from_on=from_on, entry=entry, **other
    )


def moved(stay, to_space, plants, on, **other):
    """So many plants of a stay into another space; the leaving and the new stay."""
    to_stay = a_stay(stay.planting, to_space, plants, on, came_from=stay, stage_number=2, **other)
    left(stay, plants, on, "moved", to_stay=to_stay)
    return to_stay


def left(stay, plants, on, how, **other):
    entry = an_entry(f"{how} {stay.pk} {plants} {on} {other.get('to_stay') or ''}", job="lose")
    return Leaving.objects.create(
        planting=stay.planting, stay=stay, plants=plants, how=how, left_on=on, entry=entry, **other
    )


def walked(planting, on, **seen):
    entry = an_entry(f"walk {planting.code} {on}", job="walk")
    return Walk.objects.create(planting=planting, seen_on=on, entry=entry, **seen)
