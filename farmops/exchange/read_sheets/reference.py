"""Rows of sheets that carry no entry, to rows of the tables: the farm, what it grows in what, what it sells where."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from farmops.core.quantities import unit_name
from farmops.exchange.read_sheets.fits import Faults, percent, percent_or_none
from farmops.exchange.read_sheets.names import Names
from farmops.exchange.read_sheets.sorting import NewRow
from farmops.exchange.read_sheets.to_write import ToWrite
from farmops.farm.models import ClosedDays, Farm
from farmops.growing.models import (
    Item,
    ItemPart,
    Schedule,
    SeedLot,
    Space,
    SpaceKind,
    SpaceSpell,
    Stage,
    Variety,
)
from farmops.planning import rows
from farmops.selling.models import Outlet, OutletClosedDays, Price

New = Mapping[str, Sequence[NewRow[Any]]]  # by sheet; each sheet has rows of its own class


def add_reference(new: New, names: Names, to_write: ToWrite, faults: Faults) -> None:
    """Everything that other rows refer to; `names` learns what is added."""
    for row in new.get("farm", ()):
        _farm(row, to_write, faults)
    for row in new.get("varieties", ()):
        _variety(row, names, to_write, faults)
    for row in new.get("spaces", ()):
        _space(row, names, to_write, faults)
    _schedules(new.get("schedules", ()), names, to_write, faults)
    for row in new.get("seed_lots", ()):
        _seed_lot(row, names, to_write, faults)
    for row in new.get("items", ()):
        _item(row, names, to_write, faults)
    for row in new.get("item_parts", ()):
        _part(row, names, to_write, faults)
    for row in new.get("outlets", ()):
        _outlet(row, names, to_write, faults)
    for row in new.get("prices", ()):
        _price(row, names, to_write, faults)
    for row in new.get("closed_days", ()):
        _closed(row, names, to_write, faults)


def _farm(row: NewRow[rows.Farm], to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    texts = row.texts
    farm = Farm(
        name=said.name,
        latitude=said.latitude,
        time_zone=said.time_zone,
        units=said.units,
        currency=said.currency,
        paper=said.paper,
        harvest_days=texts.get("harvest_days", ""),
        season_first_on=said.season_first_day,
        season_last_on=said.season_last_day,
        dark_first=texts.get("dark_first_day", ""),
        dark_end=texts.get("dark_end_day", ""),
        dark_pace_percent=percent(said.dark_pace),
    )
    faults.check(farm, row, {"dark_pace_percent": "dark_pace"})
    to_write.add(farm, row)


def _variety(row: NewRow[rows.Variety], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    variety = Variety(
        name=said.variety,
        crop=said.crop,
        category=said.category,
        part=said.part,
        part_plants=said.part_plants,
        part_cost_cents=faults.cents(said.part_cost, row, "part_cost"),
        sow_first=row.texts.get("sow_first_day", ""),
        sow_last=row.texts.get("sow_last_day", ""),
    )
    if said.part_plants == 0:
        faults.nothing(row, "part_plants")
    faults.check(variety, row, {"name": "variety", "part_cost_cents": "part_cost"})
    names.varieties[said.variety] = variety
    to_write.add(variety, row)


def _space(row: NewRow[rows.Space], names: Names, to_write: ToWrite, faults: Faults) -> None:
    """A space of a new name, or another number of places for one that is there."""
    said = row.row
    if (kind := names.kinds.get(said.kind)) is None:
        last = max((one.walk_order for one in names.kinds.values()), default=-1)
        kind = SpaceKind(name=said.kind, walk_order=last + 1 if said.walk_order is None else said.walk_order)
        _light(kind, row)
        faults.check(kind, row, {"name": "kind"})
        names.kinds[said.kind] = kind
        to_write.add(kind, row)
    elif said.walk_order not in {None, kind.walk_order}:
        faults.differs(row, "walk_order", kind.walk_order)
    else:
        _same_light(kind, row, faults)
    if (space := names.spaces.get(said.space)) is None:
        space = Space(name=said.space, kind=kind)
        faults.check(space, row, {"name": "space"})
        names.spaces[said.space] = space
        to_write.add(space, row)
    elif space.kind.name != said.kind:
        faults.differs(row, "kind", space.kind.name)
    spell = SpaceSpell(space=space, places=said.places, from_on=said.from_day, to_on=said.to_day)
    faults.check(spell, row, {})
    to_write.add(spell, row)


def _light(kind: SpaceKind, row: NewRow[rows.Space]) -> None:
    """Shade and lamps of a new kind, as the first row that names it says."""
    kind.shade_by_date = row.texts.get("shade", "")
    kind.lamp_hours_by_date = row.texts.get("lamp_hours", "")
    kind.lamp_light = row.row.lamp_light


def _same_light(kind: SpaceKind, row: NewRow[rows.Space], faults: Faults) -> None:
    """What a further row says of its kind's light: the same, or nothing."""
    if kind.pk is None and not (kind.shade_by_date or kind.lamp_hours_by_date or kind.lamp_light):
        _light(kind, row)
    known = {"shade": kind.shade_by_date, "lamp_hours": kind.lamp_hours_by_date, "lamp_light": kind.lamp_light or ""}
    for column, was in known.items():
        if row.texts.get(column, "") not in {"", str(was)}:
            faults.differs(row, column, was)


def _schedules(told: Iterable[NewRow[rows.ScheduleStage]], names: Names, to_write: ToWrite, faults: Faults) -> None:
    versions: dict[tuple[str, date | None], list[NewRow[rows.ScheduleStage]]] = defaultdict(list)
    for row in told:
        versions[row.row.variety, row.row.valid_from].append(row)
    for stages in versions.values():
        stages.sort(key=lambda row: row.row.stage)
        schedule = _schedule(stages[-1], names, to_write, faults)
        for row in stages:
            said = row.row
            stage = Stage(
                schedule=schedule,
                number=said.stage,
                name=said.stage_name,
                kind=names.kinds[said.kind],
                days=said.days,
                days_at=row.texts["days_at"],
                days_by_date=row.texts.get("days_by_date", ""),
                light_response_percent=percent_or_none(said.light_response),
                plants_per_place=said.plants_per_place,
                survive_percent=percent(said.survive),
            )
            faults.check(stage, row, STAGE_COLUMNS)
            to_write.add(stage, row)


STAGE_COLUMNS = {"name": "stage_name", "number": "stage", "light_response_percent": "light_response",
                 "survive_percent": "survive"}  # fmt: skip


def _schedule(row: NewRow[rows.ScheduleStage], names: Names, to_write: ToWrite, faults: Faults) -> Schedule:
    last = row.row
    schedule = Schedule(
        variety=names.varieties[last.variety],
        valid_from=last.valid_from,
        way=last.harvest,
        unit=unit_name(last.unit),
        units_per_plant=last.units_per_plant or Decimal(0),
        packed_percent=percent(last.packed),
        cuttings=row.texts.get("cuttings", ""),
        days_between=last.days_between,
        pick_weeks=last.pick_weeks,
        stands_good_days=last.stands_good_days,
    )
    faults.check(schedule, row, {"way": "harvest", "packed_percent": "packed"})
    names.add_schedule(schedule)
    to_write.add(schedule, row)
    return schedule


def _seed_lot(row: NewRow[rows.SeedLot], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    lot = SeedLot(
        name=said.seed_lot,
        variety=names.varieties[said.variety],
        supplier=said.supplier,
        their_lot=said.their_lot,
        received_on=said.received,
        seeds=said.seeds,
        germination_percent=percent_or_none(said.germination),
        tested_on=said.tested,
    )
    faults.check(lot, row, {"name": "seed_lot", "germination_percent": "germination"})
    names.seed_lots[said.seed_lot] = lot
    to_write.add(lot, row)


def _item(row: NewRow[rows.Item], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    item = Item(
        name=said.item,
        unit=said.unit,
        step=faults.stored(said.step, said.unit, row, "step"),
        category=said.category,
        keeps_days=said.keeps_days,
        contains=said.contains,
        contains_unit=said.contains_unit,
        cutting_cost_cents=faults.cents(said.cutting_cost, row, "cutting_cost"),
        leftover_value_cents=faults.cents(said.leftover_value, row, "leftover_value"),
        keep_loss_percent=percent(said.keep_loss),
    )
    faults.check(item, row, {"name": "item", "keep_loss_percent": "keep_loss"})
    names.items[said.item] = item
    to_write.add(item, row)


def _part(row: NewRow[rows.ItemPart], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    part = ItemPart(
        item=names.items[said.item],
        variety=names.varieties[said.variety],
        share_percent=percent(said.share),
        at_least_percent=percent_or_none(said.at_least),
        at_most_percent=percent_or_none(said.at_most),
    )
    if said.share == 0:
        faults.nothing(row, "share")
    faults.check(part, row, {"share_percent": "share", "at_least_percent": "at_least", "at_most_percent": "at_most"})
    to_write.add(part, row)


def _outlet(row: NewRow[rows.Outlet], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    outlet = Outlet(
        name=said.outlet,
        kind=said.kind,
        weekday=said.weekday,
        opens_minute=said.opens,
        closes_minute=said.closes,
        first_on=said.first_day,
        last_on=said.last_day,
        turn=said.turn,
    )
    if said.closes <= said.opens:
        faults.closes_too_early(row)
    faults.check(outlet, row, {"name": "outlet"})
    names.outlets[said.outlet] = outlet
    to_write.add(outlet, row)


def _price(row: NewRow[rows.Price], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    price = Price(
        item=names.items[said.item],
        outlet=names.outlets[said.outlet] if said.outlet else None,
        from_on=said.from_day,
        price_cents=faults.cents(said.price, row, "price"),
    )
    faults.check(price, row, {"price_cents": "price"})
    to_write.add(price, row)


def _closed(row: NewRow[rows.ClosedDay], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    days = {"first_on": said.first_day, "last_on": said.last_day or said.first_day, "reason": said.reason}
    if said.outlet:
        closed: ClosedDays | OutletClosedDays = OutletClosedDays(outlet=names.outlets[said.outlet], **days)
    else:
        closed = ClosedDays(**days)
    faults.check(closed, row, {})
    to_write.add(closed, row)
