"""Picks with their lots, walks, treatments and the grower's own waits of the sheets, to rows of the tables."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from farmops.core.quantities import is_mass, unit_name
from farmops.exchange.read_sheets.fits import Faults
from farmops.exchange.read_sheets.names import Names
from farmops.exchange.read_sheets.plantings import New, Plants
from farmops.exchange.read_sheets.sorting import AT_ONCE, NewRow
from farmops.exchange.read_sheets.to_write import ToWrite
from farmops.farm.days import instant_of
from farmops.growing.models import Planting, Stay, Walk
from farmops.harvest.models import Lot, Pick
from farmops.planning import rows
from farmops.waiting.models import DoNotCut, Treatment

PICK_COLUMNS = {"count": "amount", "mass_ng": "amount", "count_unit": "unit", "typed_unit": "unit", "minute": "time",
                "by_name": "by", "gross_ng": "gross_g", "crate_tare_ng": "tare_g", "culled_count": "culled",
                "culled_ng": "culled_g"}  # fmt: skip


@dataclass(slots=True)
class Lots:
    """Lots of the day: those there are, and those that picks of this reading make."""

    of_day: dict[tuple[str, date], Lot] = field(default_factory=dict)
    by_code: dict[str, Lot] = field(default_factory=dict)

    @classmethod
    def of_farm(cls, picks: Iterable[NewRow[rows.Pick]], names: Names) -> "Lots":
        picks = list(picks)
        found = cls()
        there = sorted({pk for row in picks if (pk := names.plantings[row.row.planting].pk)})
        codes = sorted({row.row.lot for row in picks if row.row.lot})
        for at in range(0, len(there), AT_ONCE):
            found._know(Lot.objects.filter(kind=Lot.Kind.HARVEST, planting__in=there[at : at + AT_ONCE]))
        for at in range(0, len(codes), AT_ONCE):
            found._know(Lot.objects.filter(code__in=codes[at : at + AT_ONCE]))
        return found

    def _know(self, lots: QuerySet[Lot]) -> None:
        for lot in lots.select_related("planting"):
            self.by_code[lot.code.casefold()] = lot
            if lot.planting is not None and lot.kind == Lot.Kind.HARVEST:
                self.of_day[lot.planting.code, lot.made_on] = lot

    def lot_of(self, row: NewRow[rows.Pick], planting: Planting, to_write: ToWrite, faults: Faults) -> Lot:
        """The lot a pick goes into: that of its planting and day, of the code its sheet gives it."""
        said = row.row
        lot = self.of_day.get((planting.code, said.day))
        other = self.by_code.get(said.lot.casefold()) if said.lot else None
        if (lot is not None and said.lot and lot.code and lot.code != said.lot) or (
            other is not None and other is not lot
        ):
            faults.add(row, "lot", _("This code does not go with that planting and day."),
                       _("A planting has one lot a day. Correct the code, or leave it empty."))  # fmt: skip
        if lot is None:
            lot = Lot(code=said.lot, kind=Lot.Kind.HARVEST, planting=planting, made_on=said.day)
            lot.entry = to_write.entry_of(row, said.day)
            self.of_day[planting.code, said.day] = lot
            to_write.add(lot, row)
        if said.lot and not lot.pk:
            lot.code = said.lot
            faults.check(lot, row, {"code": "lot"})
            self.by_code[said.lot.casefold()] = lot
        return lot


def add_records(new: New, plants: Plants, names: Names, to_write: ToWrite, faults: Faults, zone: ZoneInfo) -> None:
    """What was noted of plantings, besides where their plants went."""
    for walk in new.get("walks", ()):
        _walk(walk, plants, names, to_write, faults)
    lots = Lots.of_farm(new.get("picks", ()), names)
    for pick in new.get("picks", ()):
        _pick(pick, plants, lots, names, to_write, faults)
    for wait in new.get("waiting", ()):
        if wait.row.reason:
            _own_wait(wait, plants, names, to_write, faults, zone)
        else:
            _treatment(wait, names, to_write, faults)


def _walk(row: NewRow[rows.Walk], plants: Plants, names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    as_planned = said.days_late == 0 and said.ready is None and not said.finished
    if said.ready is None and said.days_late is None and not said.finished:
        faults.add(row, "ready", _("Nothing says what was seen."),
                   _("Fill in ready, days_late (0 = as planned) or finished."))  # fmt: skip
    walk = Walk(
        planting=names.plantings[said.planting],
        stay=_stood(row, said.planting, said.space, said.day, plants, faults),
        seen_on=said.day,
        by_name=said.by,
        is_as_planned=as_planned,
        ready=said.ready,
        days_late=None if as_planned else said.days_late,
        is_finished=bool(said.finished),
        entry=to_write.entry_of(row, said.day),
    )
    faults.check(walk, row, {"by_name": "by"})
    to_write.add(walk, row)


def _stood(row: NewRow[rows.Row], planting: str, space: str, day: date, plants: Plants, faults: Faults) -> Stay | None:
    """The stay of a planting in a space on a day."""
    if not space:
        return None
    there = plants.stood(planting, space, day)
    if there:
        return plants.stay_of(there[0])
    faults.add(row, "space", _("%(planting)s did not stand in %(space)s on %(day)s.")
               % {"planting": planting, "space": space, "day": day},
               _("Correct the space or the day, or leave the space empty."))  # fmt: skip
    return None


def _pick(row: NewRow[rows.Pick], plants: Plants, lots: Lots, names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    planting = names.plantings[said.planting]
    counted, weighed = _figures(row, faults)
    count, count_unit = counted or (None, "")
    cut_from = plants.cut_from(said) if said.space else None
    unit = unit_name(weighed[1] if weighed else count_unit)
    pick = Pick(
        planting=planting,
        stay=plants.stay_of(cut_from)
        if cut_from is not None
        else _stood(row, said.planting, said.space, said.day, plants, faults),
        lot=lots.lot_of(row, planting, to_write, faults),
        picked_on=said.day,
        minute=said.time,
        cutting=said.cutting,
        count=None if count is None else faults.stored(count, count_unit, row, "amount"),
        count_unit=count_unit,
        mass_ng=None if weighed is None else faults.stored(*weighed, row, "amount"),
        typed=said.typed or f"{said.amount:f} {unit_name(said.unit)}",
        typed_unit=unit,
        gross_ng=faults.stored_or_none(said.gross_g, "g", row, "gross_g"),
        crates=said.crates,
        crate_tare_ng=faults.stored_or_none(said.tare_g, "g", row, "tare_g"),
        culled_count=said.culled,
        culled_ng=faults.stored_or_none(said.culled_g, "g", row, "culled_g"),
        was_before_ready=bool(said.before_ready),
        by_name=said.by,
        entry=to_write.entry_of(row, said.day),
    )
    faults.check(pick, row, PICK_COLUMNS)
    to_write.add(pick, row)


Figure = tuple[Decimal, str]


def _figures(row: NewRow[rows.Pick], faults: Faults) -> tuple[Figure | None, Figure | None]:
    """What was counted and what was weighed, each with its unit."""
    said = row.row
    figures = [(said.amount, unit_name(said.unit), "amount")]
    if said.also is not None:
        figures.append((said.also, unit_name(said.also_unit), "also"))
    for amount, unit, column in figures:
        if amount == 0:
            faults.add(row, column, _("A pick is more than 0."), _("Leave out what was not cut."))
        if not unit:
            faults.add(row, "also_unit", _("This cell is empty."), _("Write the unit of the other figure."))
    counted = [(amount, unit) for amount, unit, _column in figures if not is_mass(unit)]
    weighed = [(amount, unit) for amount, unit, _column in figures if is_mass(unit)]
    if len(counted) > 1 or len(weighed) > 1:
        faults.add(row, "also", _("Both figures are of one kind."), _("One is a count, the other a weight."))
    if said.gross_g is not None and (said.crates is None or said.tare_g is None or not weighed):
        faults.add(row, "gross_g", _("A gross weight needs the crates, what one weighs, and what is left."),
                   _("Fill in crates, tare_g and the net weight."))  # fmt: skip
    return counted[0] if counted else None, weighed[0] if weighed else None


def _treatment(row: NewRow[rows.Waiting], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    if not said.product:
        faults.add(row, "product", _("Nothing says what was used."), _("Fill in the product, or a reason."))
    treatment = Treatment(
        planting=names.plantings[said.planting] if said.planting else None,
        space=names.spaces[said.space] if said.space else None,
        ended_on=said.ended,
        ended_minute=said.ended_at,
        product=said.product,
        how=said.job,
        harvest_days=said.harvest_days,
        entry_hours=said.entry_hours,
        by_name=said.by,
        entry=to_write.entry_of(row, said.ended),
    )
    faults.check(treatment, row, {"ended_minute": "ended_at", "how": "job", "by_name": "by"})
    to_write.add(treatment, row)


def _own_wait(
    row: NewRow[rows.Waiting], plants: Plants, names: Names, to_write: ToWrite, faults: Faults, zone: ZoneInfo
) -> None:
    """The grower's own wait: of a planting, or of each stay of it that began in a space on that day."""
    said = row.row
    if not said.planting or said.product:
        faults.add(row, "planting" if not said.planting else "product",
                   _("A wait of one's own names a planting and a reason, and no product."),
                   _("Fill in the planting, and leave the product to rows without a reason."))  # fmt: skip
        return
    before = None if said.not_before is None else instant_of(said.not_before, said.not_before_at or 0, zone)
    stays: list[Stay | None] = [None]
    if said.space:
        there = plants.stood(said.planting, said.space, said.ended)
        began = [plants.stay_of(one) for one in there if one.row.from_day == said.ended]
        stays = [*began] or [_stood(row, said.planting, said.space, said.ended, plants, faults)]
    for stay in stays:
        wait = DoNotCut(planting=names.plantings[said.planting], stay=stay, before=before, reason=said.reason,
                        entry=to_write.entry_of(row, said.ended))  # fmt: skip
        faults.check(wait, row, {})
        to_write.add(wait, row)
