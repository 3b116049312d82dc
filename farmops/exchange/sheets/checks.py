"""Facts across rows and sheets that must hold before anything is planned from them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import is_mass, unit_name
from farmops.exchange.sheets.filled import not_filled
from farmops.exchange.sheets.light_checks import light_faults
from farmops.planning.rows import FarmRows, Fault, Row, ScheduleStage

ONE_EACH = (
    ("varieties", ("variety",)),
    ("seed_lots", ("seed_lot",)),
    ("plantings", ("planting",)),
    ("items", ("item",)),
    ("item_parts", ("item", "variety")),
    ("outlets", ("outlet",)),
    ("prices", ("item", "outlet", "from_day")),
    ("schedules", ("variety", "valid_from", "stage")),
)


LEAST_DAYS = Decimal("0.01")  # of a stage; what is shorter would be no day at all
TOO_MUCH = (
    ("schedules", "stands_good_days", 3660),
    ("schedules", "pick_weeks", 520),
    ("items", "keeps_days", 3660),
    ("standing_orders", "every_weeks", 520),
    ("walks", "days_late", 3660),
)


def check_rows(rows: FarmRows, *, are_followed: bool = False) -> list[Fault]:
    """Every fault that only several rows together show.

    Parameters
    ----------
    rows : FarmRows
    are_followed : bool
        Plants are followed from stay to stay besides, so that they need not be counted here.
    """
    return [
        *not_filled(rows),
        *_one_each(rows),
        *_the_farm(rows),
        *_spaces(rows),
        *_schedules(rows),
        *_units(rows),
        *_shares(rows),
        *_stays(rows),
        *(() if are_followed else _standing(rows)),
        *_days_in_order(rows),
        *_after_sowing(rows),
        *_clear_enough(rows),
        *_too_much(rows),
        *light_faults(rows),
    ]


def same_kind_of_unit(one: str, other: str) -> bool:
    """Whether amounts in two units can be added: both weights, or counts of the same thing."""
    return (is_mass(one) and is_mass(other)) or unit_name(one) == unit_name(other)


def _one_each(rows: FarmRows) -> Iterable[Fault]:
    for sheet, columns in ONE_EACH:
        seen: dict[tuple[object, ...], int] = {}
        for row in getattr(rows, sheet):
            identity = tuple(getattr(row, column) for column in columns)
            if identity in seen:
                yield Fault(
                    sheet,
                    row.row,
                    columns[0],
                    _("Row %(row)d says the same again.") % {"row": seen[identity]},
                    _("Leave one of the two."),
                )
            seen.setdefault(identity, row.row)


def _the_farm(rows: FarmRows) -> Iterable[Fault]:
    if len(rows.farm) != 1:
        yield Fault(
            "farm", None, "", _("There are %(count)d rows.") % {"count": len(rows.farm)}, _("Write one row: the farm.")
        )
    for farm in rows.farm:
        if abs(farm.latitude) > 90:
            yield Fault("farm", farm.row, "latitude", _("There is no such latitude."), _("Write -90 to 90."))
        if (farm.dark_first_day is None) != (farm.dark_end_day is None):
            yield Fault(
                "farm",
                farm.row,
                "dark_end_day",
                _("The dark weeks have only one end."),
                _("Fill in both days, or neither."),
            )
        if farm.dark_pace == 0:
            yield Fault(
                "farm", farm.row, "dark_pace", _("Nothing would ever ripen in the dark weeks."), _("Write at least 1.")
            )


def _spaces(rows: FarmRows) -> Iterable[Fault]:
    by_name: dict[str, list[tuple[date, date, int]]] = defaultdict(list)
    for space in rows.spaces:
        first, end = space.from_day or date.min, space.to_day or date.max
        if end <= first:
            yield Fault("spaces", space.row, "to", _("It ends before it begins."), _("Check both days."))
        for other_first, other_end, row in by_name[space.space]:
            if first < other_end and other_first < end:
                yield Fault(
                    "spaces",
                    space.row,
                    "from",
                    _("Row %(row)d holds for the same days.") % {"row": row},
                    _("End the earlier row on the day this one begins."),
                )
        by_name[space.space].append((first, end, space.row))


def _schedules(rows: FarmRows) -> Iterable[Fault]:
    versions: dict[tuple[str, date | None], list[ScheduleStage]] = defaultdict(list)
    for stage in rows.schedules:
        versions[stage.variety, stage.valid_from].append(stage)
    for stages in versions.values():
        stages.sort(key=lambda stage: stage.stage)
        if [stage.stage for stage in stages] != list(range(1, len(stages) + 1)):
            yield Fault(
                "schedules",
                stages[0].row,
                "stage",
                _("The stages of %(variety)s are not 1, 2, 3 ... without a gap.") % {"variety": stages[0].variety},
                _("Number them from 1 on."),
            )
        for stage in stages:
            yield from _stage(stage, stage is stages[-1])


def _stage(stage: ScheduleStage, is_last: bool) -> Iterable[Fault]:
    above_zero: dict[str, object] = {name: getattr(stage, name) for name in ("days", "plants_per_place", "survive")}
    must_have: list[str] = []
    if is_last:
        must_have = ["harvest", "unit", "units_per_plant"]
        above_zero["packed"] = stage.packed
        if stage.harvest == "picked":
            must_have.append("pick_weeks")
        if stage.harvest == "cut" and len(stage.cuttings) > 1:
            must_have.append("days_between")
    elif stage.harvest:
        yield Fault(
            "schedules",
            stage.row,
            "harvest",
            _("Harvest facts belong to the last stage, and this is not the last."),
            _("Move them to the last stage, or give that one the next number."),
        )
    for column in must_have:
        if getattr(stage, column) in (None, ""):
            yield Fault(
                "schedules",
                stage.row,
                column,
                _("The last stage of %(variety)s does not say this.") % {"variety": stage.variety},
                _("Fill it in."),
            )
        else:
            above_zero[column] = getattr(stage, column)
    if 0 < stage.days < LEAST_DAYS:
        yield Fault(
            "schedules",
            stage.row,
            "days",
            _("So short a stage cannot be planned with."),
            _("Write 1 or more, or leave the stage out."),
        )
    for column, value in above_zero.items():
        if value == 0:
            yield Fault("schedules", stage.row, column, _("0 cannot be meant here."), _("Write what it really is."))
    if any(days == 0 for _when, days in stage.days_by_date) or any(share == 0 for share in stage.cuttings):
        yield Fault(
            "schedules",
            stage.row,
            "days_by_date" if stage.days_by_date else "cuttings",
            _("0 cannot be meant here."),
            _("Take it out."),
        )


def _too_much(rows: FarmRows) -> Iterable[Fault]:
    for sheet, column, most in TOO_MUCH:
        for row in getattr(rows, sheet):
            if abs(getattr(row, column) or 0) > most:
                yield Fault(
                    sheet,
                    row.row,
                    column,
                    _("So many cannot be meant here."),
                    _("Write %(most)d or less.") % {"most": most},
                )


def harvest_units(rows: FarmRows) -> dict[str, str]:
    """The unit in which each variety is cut."""
    return {stage.variety: unit_name(stage.unit) for stage in rows.schedules if stage.unit}


def _units(rows: FarmRows) -> Iterable[Fault]:
    units = harvest_units(rows)
    items = {item.item: item for item in rows.items}
    variety_of = {planting.planting: planting.variety for planting in rows.plantings}
    for item in rows.items:
        if item.step == 0:
            yield Fault(
                "items", item.row, "step", _("Nothing can be counted in steps of 0."), _("Write e.g. 1 or 0.25.")
            )
        if item.contains == 0:
            yield Fault(
                "items",
                item.row,
                "contains",
                _("A unit that contains nothing cannot be meant."),
                _("Write what one unit contains, or leave it empty."),
            )
    for part in rows.item_parts:
        item = items[part.item]
        contains = item.contains_unit or item.unit
        if not same_kind_of_unit(contains, units.get(part.variety, contains)):
            yield Fault(
                "items",
                item.row,
                "contains_unit",
                _("%(variety)s is cut in %(cut)s, but %(item)s counts %(contains)s.")
                % {"variety": part.variety, "cut": units[part.variety], "item": item.item, "contains": contains},
                _("Say what one unit contains, in %(cut)s.") % {"cut": units[part.variety]},
            )
    for pick in rows.picks:
        unit = units.get(variety_of[pick.planting], pick.unit)
        if not same_kind_of_unit(pick.unit, unit):
            yield Fault(
                "picks",
                pick.row,
                "unit",
                _("%(planting)s is cut in %(unit)s by its schedule.") % {"planting": pick.planting, "unit": unit},
                _("Write the pick in that unit."),
            )


def _shares(rows: FarmRows) -> Iterable[Fault]:
    of_item: dict[str, list[tuple[int, Decimal]]] = defaultdict(list)
    for part in rows.item_parts:
        of_item[part.item].append((part.row, part.share))
        at_least, at_most = part.at_least, part.at_most
        if (at_least is not None and at_least > part.share) or (at_most is not None and at_most < part.share):
            yield Fault(
                "item_parts", part.row, "share", _("The share lies outside its own limits."), _("Check the limits.")
            )
    for name, shares in of_item.items():
        total = sum((share for _row, share in shares), Decimal(0)) * 100
        if total != 100:
            yield Fault(
                "item_parts",
                shares[-1][0],
                "share",
                _("The shares of %(item)s add up to %(total)s.") % {"item": name, "total": f"{total.normalize():f}"},
                _("Change them so that they add up to 100, e.g. 33.3, 33.3 and 33.4."),
            )


def _stays(rows: FarmRows) -> Iterable[Fault]:
    plantings = {planting.planting: planting for planting in rows.plantings}
    kinds = {space.space: space.kind for space in rows.spaces}
    stages: dict[str, set[tuple[int, str]]] = defaultdict(set)
    for stage in rows.schedules:
        stages[stage.variety].add((stage.stage, stage.kind))
    for stay in rows.stays:
        planting = plantings[stay.planting]
        if stay.from_day < planting.sown:
            yield Fault(
                "stays",
                stay.row,
                "from",
                _("%(planting)s was sown later, on %(sown)s.") % {"planting": stay.planting, "sown": planting.sown},
                _("Check both days."),
            )
        of_variety = stages[planting.variety]
        number = stay.stage
        if number is None and not any(kind == kinds[stay.space] for _stage, kind in of_variety):
            yield Fault(
                "stays",
                stay.row,
                "stage",
                _("%(variety)s has no stage in a %(kind)s.") % {"variety": planting.variety, "kind": kinds[stay.space]},
                _("Say which stage it is in."),
            )
        if number is not None and not any(number == known for known, _kind in of_variety):
            yield Fault(
                "stays",
                stay.row,
                "stage",
                _("%(variety)s has no stage %(stage)d.") % {"variety": planting.variety, "stage": number},
                _("Write a stage of its schedule."),
            )


def _standing(rows: FarmRows) -> Iterable[Fault]:
    plantings = {planting.planting: planting for planting in rows.plantings}
    standing: dict[str, int] = defaultdict(int)
    for stay in rows.stays:
        planting = plantings[stay.planting]
        if stay.to_day is None and planting.cleared is None and stay.state == "done":
            standing[stay.planting] += stay.plants
            if standing[stay.planting] > planting.plants:
                yield Fault(
                    "stays",
                    stay.row,
                    "plants",
                    _("%(now)d plants of %(planting)s stand, but %(sown)d were sown.")
                    % {"now": standing[stay.planting], "planting": stay.planting, "sown": planting.plants},
                    _("End the stays that they left, or correct the numbers."),
                )


def _days_in_order(rows: FarmRows) -> Iterable[Fault]:
    pairs: list[tuple[str, Sequence[Row], str, str]] = [
        ("stays", rows.stays, "from_day", "to_day"),
        ("outlets", rows.outlets, "first_day", "last_day"),
        ("closed_days", rows.closed_days, "first_day", "last_day"),
        ("standing_orders", rows.standing_orders, "first_day", "last_day"),
        ("box_counts", rows.box_counts, "week", "last_week"),
        ("plantings", rows.plantings, "sown", "cleared"),
        ("outlets", rows.outlets, "opens", "closes"),
        ("market_days", rows.market_days, "opens", "closes"),
        ("farm", rows.farm, "season_first_day", "season_last_day"),
    ]
    for sheet, of_sheet, first, last in pairs:
        for row in of_sheet:
            begins, ends = getattr(row, first), getattr(row, last)
            if begins is not None and ends is not None and ends < begins:
                yield Fault(
                    sheet,
                    row.row,
                    last.removesuffix("_day") if sheet == "stays" else last,
                    _("It ends before it begins."),
                    _("Check both."),
                )


def _after_sowing(rows: FarmRows) -> Iterable[Fault]:
    sown = {planting.planting: planting.sown for planting in rows.plantings}
    noted: list[tuple[str, str, date, int]] = [("picks", pick.planting, pick.day, pick.row) for pick in rows.picks]
    noted += [("losses", loss.planting, loss.day, loss.row) for loss in rows.losses]
    noted += [("walks", walk.planting, walk.day, walk.row) for walk in rows.walks]
    for sheet, planting, day, number in noted:
        if day < sown[planting]:
            yield Fault(
                sheet,
                number,
                "day",
                _("%(planting)s was sown later, on %(sown)s.") % {"planting": planting, "sown": sown[planting]},
                _("Check both days."),
            )


def _clear_enough(rows: FarmRows) -> Iterable[Fault]:
    for treated in rows.waiting:
        if not treated.planting and not treated.space:
            yield Fault(
                "waiting",
                treated.row,
                "planting",
                _("Nothing says what was treated."),
                _("Fill in the planting or the space."),
            )
    for order in rows.standing_orders:
        if order.every_weeks == 0 or (order.every_weeks > 1 and order.first_day is None):
            yield Fault(
                "standing_orders",
                order.row,
                "every_weeks",
                _("It is not clear which weeks are meant."),
                _("Write 1 or more, and the first day of the order."),
            )
