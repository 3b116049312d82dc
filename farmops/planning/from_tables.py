"""The farm's tables as the rows that planning reads: names as keys, amounts in their units, what was undone left out.

One query for each table, however much lies in it. What core reckons with is made from these rows alone, so that a
farm kept in sheets and one kept in tables are planned alike.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal

from django.db.models import Q

from farmops.farm import models as farm
from farmops.farm.days import the_farm
from farmops.growing import models as growing
from farmops.planning import rows
from farmops.planning.market_rows import market_rows
from farmops.planning.planting_rows import Records, planting_rows
from farmops.planning.rows import FarmRows
from farmops.planning.stored import amount_of, key_of, money_of, money_or_none, month_day_of, share_of, share_or_none
from farmops.selling import models as selling

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def farm_rows(*, since: date | None = None) -> FarmRows:
    """Everything that planning reads of the farm.

    Parameters
    ----------
    since : date or None
        Plantings sown before it are left out unless they stood since, and so are market days held before it. None: all.

    Returns
    -------
    FarmRows
        `farm` is empty where there is no farm yet.
    """
    return replace(
        with_what_is_sold(growing_rows(since), since),
        items=tuple(_item(one) for one in growing.Item.objects.order_by("pk")),
        seed_lots=tuple(_seed_lot(one) for one in growing.SeedLot.objects.select_related("variety").order_by("pk")),
    )


def growing_rows(since: date | None = None, *, only: Q | None = None) -> FarmRows:
    """What grows and nothing of what is sold: enough to follow every planting, or `only` those it names."""
    return replace(
        grown(planting_rows(since, only=only)),
        varieties=tuple(_variety(one) for one in growing.Variety.objects.order_by("pk")),
        spaces=space_rows(),
    )


def grown(records: Records) -> FarmRows:
    """Records of plantings with the farm's place and schedules beside them. One query, or two."""
    schedules, lights = schedule_rows()
    return FarmRows(
        farm=farm_row(),
        schedules=schedules,
        lights=lights,
        plantings=records.plantings,
        stays=records.stays,
        losses=records.losses,
        walks=records.walks,
        picks=records.picks,
        waiting=records.waiting,
    )


def with_what_is_sold(rows_of_growth: FarmRows, since: date | None, of_variety: str = "") -> FarmRows:
    """Rows of what grows, and beside them all that is sold and wanted; market days from a day on. Ten queries.

    `of_variety` leaves only those lines of market days that are made of it. An item that nothing says the making of is
    left out: nothing that grows becomes it.
    """
    parts = list(_parts())
    items = {part.item_id: part.item for part in parts}
    return replace(
        rows_of_growth,
        items=tuple(_item(one) for one in items.values()),
        item_parts=tuple(_part(one) for one in parts),
        outlets=tuple(_outlet(one) for one in selling.Outlet.objects.order_by("pk")),
        prices=tuple(_price(one) for one in selling.Price.objects.select_related("item", "outlet").order_by("pk")),
        market_days=market_rows(since, of_variety),
        standing_orders=tuple(_order(one) for one in _orders()),
        box_counts=tuple(_box_count(one) for one in _box_counts()),
        single_wants=tuple(_want(one) for one in _wants(since)),
        closed_days=(*_closed(), *_outlets_closed()),
    )


def farm_row() -> tuple[rows.Farm, ...]:
    """The farm; empty where there is none yet."""
    found = the_farm()
    return () if found is None else (_farm(found),)


def schedule_rows() -> tuple[tuple[rows.ScheduleStage, ...], tuple[rows.KindLight, ...]]:
    """Every stage of every version, harvest facts on the last of each; and the light of the kinds they stand in."""
    stages = list(
        growing.Stage.objects.select_related("schedule__variety", "kind").order_by(
            "schedule__variety", "schedule", "number"
        )
    )
    last = {stage.schedule_id: stage.pk for stage in stages}
    kinds = {stage.kind_id: stage.kind for stage in stages}
    return (
        tuple(_stage(stage, is_last=last[stage.schedule_id] == stage.pk) for stage in stages),
        tuple(_light(kind) for kind in kinds.values() if kind.shade_by_date or kind.lamp_hours_by_date),
    )


def space_rows() -> tuple[rows.Space, ...]:
    spells = growing.SpaceSpell.objects.select_related("space__kind").order_by("space", "pk")
    return tuple(
        rows.Space(
            space=one.space.name,
            kind=one.space.kind.name,
            places=one.places,
            from_day=one.from_on,
            to_day=one.to_on,
            walk_order=one.space.kind.walk_order,
            shade=_days_by_date(one.space.kind.shade_by_date),
            lamp_hours=_days_by_date(one.space.kind.lamp_hours_by_date),
            lamp_light=one.space.kind.lamp_light,
        )
        for one in spells
    )


def _farm(one: farm.Farm) -> rows.Farm:
    return rows.Farm(
        name=one.name,
        latitude=one.latitude,
        time_zone=one.time_zone,
        units=one.units,
        currency=one.currency,
        paper=one.paper,
        harvest_days=tuple(WEEKDAYS.index(day) for day in filter(None, one.harvest_days.split(";"))),
        season_first_day=one.season_first_on,
        season_last_day=one.season_last_on,
        dark_first_day=month_day_of(one.dark_first),
        dark_end_day=month_day_of(one.dark_end),
        dark_pace=share_of(one.dark_pace_percent),
    )


def _variety(one: growing.Variety) -> rows.Variety:
    return rows.Variety(
        variety=one.name,
        crop=one.crop,
        category=one.category,
        part=one.part,
        part_plants=one.part_plants,
        part_cost=money_of(one.part_cost_cents),
        sow_first_day=month_day_of(one.sow_first),
        sow_last_day=month_day_of(one.sow_last),
    )


def _stage(one: growing.Stage, *, is_last: bool) -> rows.ScheduleStage:
    schedule = one.schedule
    plain = rows.ScheduleStage(
        variety=schedule.variety.name,
        valid_from=schedule.valid_from,
        stage=one.number,
        stage_name=one.name,
        kind=one.kind.name,
        days=one.days,
        days_at=month_day_of(one.days_at) or (3, 20),
        days_by_date=_days_by_date(one.days_by_date),
        light_response=share_or_none(one.light_response_percent),
        plants_per_place=one.plants_per_place,
        survive=share_of(one.survive_percent),
    )
    return _with_harvest(plain, schedule) if is_last else plain


def _light(kind: growing.SpaceKind) -> rows.KindLight:
    shade, hours = (_days_by_date(text) for text in (kind.shade_by_date, kind.lamp_hours_by_date))
    return rows.KindLight(kind.name, shade, hours, kind.lamp_light)


def _with_harvest(stage: rows.ScheduleStage, schedule: growing.Schedule) -> rows.ScheduleStage:
    return replace(
        stage,
        harvest=schedule.way,
        unit=schedule.unit,
        units_per_plant=schedule.units_per_plant,
        packed=share_of(schedule.packed_percent),
        cuttings=tuple(share_of(Decimal(share)) for share in filter(None, schedule.cuttings.split(";"))),
        days_between=schedule.days_between,
        pick_weeks=schedule.pick_weeks,
        stands_good_days=schedule.stands_good_days,
    )


def _days_by_date(text: str) -> rows.DaysByDate:
    pairs = (part.split("=") for part in filter(None, text.split(";")))
    return tuple((month_day_of(month_day) or (1, 1), Decimal(days)) for month_day, days in pairs)


def _seed_lot(one: growing.SeedLot) -> rows.SeedLot:
    return rows.SeedLot(
        seed_lot=one.name,
        variety=one.variety.name,
        supplier=one.supplier,
        their_lot=one.their_lot,
        received=one.received_on,
        seeds=one.seeds,
        germination=share_or_none(one.germination_percent),
        tested=one.tested_on,
    )


def _item(one: growing.Item) -> rows.Item:
    return rows.Item(
        item=one.name,
        unit=one.unit,
        step=amount_of(one.step, one.unit),
        category=one.category,
        keeps_days=one.keeps_days,
        contains=one.contains,
        contains_unit=one.contains_unit,
        cutting_cost=money_of(one.cutting_cost_cents),
        leftover_value=money_of(one.leftover_value_cents),
        keep_loss=share_of(one.keep_loss_percent),
    )


def _parts() -> Iterable[growing.ItemPart]:
    return growing.ItemPart.objects.select_related("item", "variety").order_by("pk")


def _part(one: growing.ItemPart) -> rows.ItemPart:
    return rows.ItemPart(
        item=one.item.name,
        variety=one.variety.name,
        share=share_of(one.share_percent),
        at_least=share_or_none(one.at_least_percent),
        at_most=share_or_none(one.at_most_percent),
    )


def _outlet(one: selling.Outlet) -> rows.Outlet:
    return rows.Outlet(
        outlet=one.name,
        kind=one.kind,
        weekday=one.weekday,
        opens=one.opens_minute,
        closes=one.closes_minute,
        first_day=one.first_on,
        last_day=one.last_on,
        turn=one.turn,
    )


def _price(one: selling.Price) -> rows.Price:
    return rows.Price(
        item=one.item.name,
        outlet=one.outlet.name if one.outlet else "",
        from_day=one.from_on,
        price=money_of(one.price_cents),
    )


def _orders() -> Iterable[selling.StandingOrder]:
    return selling.StandingOrder.objects.live().select_related("buyer", "item", "entry").order_by("pk")


def _order(one: selling.StandingOrder) -> rows.StandingOrder:
    return rows.StandingOrder(
        key=key_of(one.entry),
        buyer=one.buyer.name,
        item=one.item.name,
        weekday=one.weekday,
        amount=amount_of(one.amount, one.item.unit),
        first_day=one.first_on,
        last_day=one.last_on,
        every_weeks=one.every_weeks,
        failing_costs=money_or_none(one.failing_costs_cents),
    )


def _box_counts() -> Iterable[selling.BoxCount]:
    return selling.BoxCount.objects.live().select_related("box", "item", "entry").order_by("pk")


def _box_count(one: selling.BoxCount) -> rows.BoxCount:
    return rows.BoxCount(
        key=key_of(one.entry),
        box=one.box.name,
        week=one.first_week,
        last_week=one.last_week,
        size=one.size,
        boxes=one.boxes,
        item=one.item.name,
        amount=amount_of(one.amount, one.item.unit),
        value=money_or_none(one.value_cents),
        failing_costs=money_or_none(one.failing_costs_cents),
    )


def _wants(since: date | None) -> Iterable[selling.Want]:
    wants = selling.Want.objects.live().select_related("outlet", "item", "entry").order_by("pk")
    return wants if since is None else wants.filter(wanted_on__gte=since)


def _want(one: selling.Want) -> rows.SingleWant:
    return rows.SingleWant(
        key=key_of(one.entry),
        outlet=one.outlet.name,
        item=one.item.name,
        day=one.wanted_on,
        amount=amount_of(one.amount, one.item.unit),
        instead=one.replaces_standing,
        note=one.note,
    )


def _closed() -> Iterable[rows.ClosedDay]:
    for one in farm.ClosedDays.objects.order_by("pk"):
        yield rows.ClosedDay(first_day=one.first_on, last_day=one.last_on, reason=one.reason)


def _outlets_closed() -> Iterable[rows.ClosedDay]:
    for one in selling.OutletClosedDays.objects.select_related("outlet").order_by("pk"):
        yield rows.ClosedDay(first_day=one.first_on, last_day=one.last_on, outlet=one.outlet.name, reason=one.reason)
