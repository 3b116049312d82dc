"""Plantings of the sheets and where their plants went, to rows of the tables."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from farmops.exchange.follow_plants import Followed, Harvest, follow, heads_cut
from farmops.exchange.plants_gone import Gone, Standing
from farmops.exchange.read_sheets.fits import Faults
from farmops.exchange.read_sheets.names import Names
from farmops.exchange.read_sheets.sorting import NewRow
from farmops.exchange.read_sheets.to_write import ToWrite
from farmops.growing.models import Leaving, Planting, Stay
from farmops.planning import rows

New = Mapping[str, Sequence[NewRow[Any]]]  # by sheet; each sheet has rows of its own class
OF_PLANTINGS = ("stays", "losses", "picks", "walks", "waiting")


@dataclass(slots=True)
class Plants:
    """Plantings that rows of these sheets speak of, with their stays old and new."""

    followed: dict[str, Followed] = field(default_factory=dict)
    stays: dict[int, Stay] = field(default_factory=dict)  # by id of the Standing

    def stay_of(self, standing: Standing) -> Stay:
        return self.stays[id(standing)]

    def stood(self, planting: str, space: str, day: date) -> list[Standing]:
        """Stays of a planting in a space on a day; else those that had been there before it."""
        one = self.followed[planting]
        there = [stay for stay in one.done if stay.row.space == space and stay.row.from_day <= day]
        return [stay for stay in there if stay.holds(day)] or there[-1:]

    def cut_from(self, pick: rows.Pick) -> Standing | None:
        """The one stay out of which the heads of a pick were cut; None where there were several, or none."""
        cut = [stay for stay in self.followed[pick.planting].stays for gone in stay.gone if gone.row is pick]
        return cut[0] if len(cut) == 1 else None


def add_plantings(new: New, names: Names, to_write: ToWrite, faults: Faults) -> Plants:
    """New plantings, their stays and how plants left them, and what becomes of stays in the tables."""
    for row in new.get("plantings", ()):
        _planting(row, names, to_write, faults)
    named = {row.row.planting for sheet in OF_PLANTINGS for row in new.get(sheet, ()) if row.row.planting}
    there = _in_the_tables([names.plantings[code] for code in named if names.plantings[code].pk])
    stays, losses, picks = (_by_planting(new.get(sheet, ())) for sheet in ("stays", "losses", "picks"))
    told = {row.row.planting: row for row in new.get("plantings", ())}
    plants = Plants()
    for code in sorted(named):
        planting = names.plantings[code]
        _is_sown(planting, (*stays[code], *losses[code], *picks[code]), faults)
        cuts = [(row.row, heads_cut(row.row, _harvest(planting))) for row in picks[code]]
        plants.followed[code] = follow(
            told[code].row if code in told else _row_of(planting),
            [row.row for row in stays[code]],
            [row.row for row in losses[code]],
            cuts,
            there=there[code].stays,
            lost_before=there[code].lost_nowhere,
        )
        faults.found += plants.followed[code].faults
        plants.stays |= there[code].models
    to_write.followed += plants.followed.values()
    if not faults.found:
        _add_stays(new, plants, names, to_write, faults)
    return plants


def _planting(row: NewRow[rows.Planting], names: Names, to_write: ToWrite, faults: Faults) -> None:
    said = row.row
    planting = Planting(
        code=said.planting,
        variety=names.varieties[said.variety],
        schedule=names.schedule_on(said.variety, said.sown),
        state=said.state,
        sown_on=said.sown,
        plants=said.plants,
        planned_on=said.planned,
        planned_plants=said.planned_plants,
        seed_lot=names.seed_lots[said.seed_lot] if said.seed_lot else None,
        cleared_on=said.cleared,
        note=said.note,
        entry=to_write.entry_of(row, said.sown),
    )
    if said.plants == 0:
        faults.nothing(row, "plants")
    if said.planting in names.plantings:
        faults.add(row, "planting", _("This number was given to a sowing that was taken back."), _("Give it another."))
    faults.check(planting, row, {"code": "planting", "sown_on": "sown", "cleared_on": "cleared"})
    names.plantings[said.planting] = planting
    to_write.add(planting, row)


@dataclass(slots=True)
class _There:
    """Stays of one planting in the tables, and plants it lost without a place."""

    stays: list[Standing] = field(default_factory=list)
    models: dict[int, Stay] = field(default_factory=dict)
    lost_nowhere: int = 0


def _in_the_tables(plantings: Sequence[Planting]) -> dict[str, _There]:
    found: dict[str, _There] = defaultdict(_There)
    codes = {planting.pk: planting.code for planting in plantings}
    stays = Stay.objects.live().filter(planting__in=codes).select_related("space").order_by("from_on", "pk")
    standing: dict[int, Standing] = {}
    for stay in stays:
        row = rows.Stay(planting=codes[stay.planting_id], space=stay.space.name, plants=stay.plants,
                        from_day=stay.from_on, stage=stay.stage_number, state=stay.state)  # fmt: skip
        standing[stay.pk] = Standing(row, row, stay.plants, stay.planned_to_on, stay.pk)
        found[row.planting].stays.append(standing[stay.pk])
        found[row.planting].models[id(standing[stay.pk])] = stay
    for leaving in Leaving.objects.live().filter(planting__in=codes).order_by("left_on", "pk"):
        if leaving.stay_id is None:
            found[codes[leaving.planting_id]].lost_nowhere += leaving.plants
        elif (one := standing.get(leaving.stay_id)) is not None:
            one.left -= leaving.plants
            one.end = leaving.left_on if one.left <= 0 else None
    for stay in stays:
        one = standing[stay.pk]
        if stay.came_from_id is not None:
            one.came_from = standing.get(stay.came_from_id)
    return found


def _row_of(planting: Planting) -> rows.Planting:
    return rows.Planting(
        planting=planting.code,
        variety=planting.variety.name,
        sown=planting.sown_on,
        plants=planting.plants,
        state=planting.state,
        cleared=planting.cleared_on,
    )


def _harvest(planting: Planting) -> Harvest | None:
    schedule = planting.schedule
    return None if schedule is None else Harvest(schedule.way, schedule.unit, schedule.units_per_plant)


def _is_sown(planting: Planting, told: Iterable[NewRow[Any]], faults: Faults) -> None:
    if planting.state == Planting.State.DONE:
        return
    for row in told:
        if getattr(row.row, "state", "done") == "done":
            faults.add(row, "planting", _("%(planting)s is only planned.") % {"planting": planting.code},
                       _("Say when it was sown, or take this row out."))  # fmt: skip


def _by_planting(told: Iterable[NewRow[Any]]) -> dict[str, list[NewRow[Any]]]:
    found: dict[str, list[NewRow[Any]]] = defaultdict(list)
    for row in told:
        found[row.row.planting].append(row)
    return found


def _add_stays(new: New, plants: Plants, names: Names, to_write: ToWrite, faults: Faults) -> None:
    of_row = {id(row.row): row for sheet in OF_PLANTINGS for row in new.get(sheet, ())}
    for one in plants.followed.values():
        for standing in (standing for standing in one.stays if standing.pk is None):
            _stay(standing, of_row[id(standing.said)], plants, names, to_write, faults)
    for one in plants.followed.values():  # a stay may have come from one that is listed after it
        for standing in one.stays:
            if standing.pk is None and standing.came_from is not None:
                plants.stay_of(standing).came_from = plants.stay_of(standing.came_from)
    gone = [(standing, left) for each in plants.followed.values() for standing in each.stays for left in standing.gone]
    for standing, left in gone:
        _leaving(standing, left, of_row, plants, names, to_write)
    for followed in plants.followed.values():
        for loss, lost in followed.nowhere:
            leaving = Leaving(planting=names.plantings[loss.planting], how=Leaving.How.LOST, plants=lost,
                              left_on=loss.day, cause=loss.cause)  # fmt: skip
            _add_leaving(leaving, of_row[id(loss)], to_write)
    to_write.rows[Leaving].sort(key=lambda row: to_write.made_of[id(row)].row.row)
    to_write.emptied += [
        (standing, of_row[id(last.row)] if not last.to else of_row[id(last.to.said)])
        for each in plants.followed.values()
        for standing in each.stays
        if standing.pk is not None and standing.gone and standing.left == 0
        for last in standing.gone[-1:]
    ]


def _stay(
    standing: Standing, row: NewRow[rows.Stay], plants: Plants, names: Names, to_write: ToWrite, faults: Faults
) -> None:
    said = standing.row
    stay = Stay(
        planting=names.plantings[said.planting],
        space=names.spaces[said.space],
        stage_number=said.stage,
        plants=said.plants,
        from_on=said.from_day,
        planned_to_on=said.to_day if standing.is_planned else None,
        places=said.places,
        state=said.state,
        over_full_because=said.over_full_because,
        is_over=standing.left == 0 and not standing.is_planned,
        entry=to_write.entry_of(row, said.from_day),
    )
    if said.plants == 0:
        faults.nothing(row, "plants")
    faults.check(stay, row, {"stage_number": "stage"})
    plants.stays[id(standing)] = stay
    to_write.add(stay, row)


def _leaving(
    standing: Standing, one: Gone, of_row: Mapping[int, NewRow[Any]], plants: Plants, names: Names, to_write: ToWrite
) -> None:
    because = one.to.said if one.to is not None else one.row or standing.said
    leaving = Leaving(
        planting=names.plantings[standing.row.planting],
        stay=plants.stay_of(standing),
        how=one.how,
        plants=one.plants,
        left_on=one.day,
        to_stay=plants.stay_of(one.to) if one.to is not None else None,
        cause=because.cause if isinstance(because, rows.Loss) else "",
    )
    _add_leaving(leaving, of_row[id(because)], to_write)


def _add_leaving(leaving: Leaving, row: NewRow[Any], to_write: ToWrite) -> None:
    leaving.entry = to_write.entry_of(row, leaving.left_on)
    to_write.add(leaving, row)
