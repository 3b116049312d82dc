"""Where the plants of rows went: which stay a move came out of, where a loss was, what a stay's last day ended.

Sheets say how many came into a space and until when; the tables say of each plant how it left. What a sheet leaves open
is filled in from what it says elsewhere, and what cannot be is "gone, not noted": the sum is always what was sown.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from math import ceil
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.quantities import rounded, unit_name
from farmops.exchange.plants_gone import Gone, How, Standing, make_room
from farmops.growing.models import Schedule
from farmops.planning import rows
from farmops.planning.rows import Fault


@dataclass(slots=True, eq=False)
class Followed:
    """One planting: its stays old and new, losses that nobody placed, and what cannot be.

    Attributes
    ----------
    nowhere : list of (loss, plants)
        Lost from stays that stand yet, nobody said which.
    unplaced : int
        Plants that never came into a stay.
    """

    planting: rows.Planting
    stays: list[Standing]
    nowhere: list[tuple[rows.Loss, int]] = field(default_factory=list)
    unplaced: int = 0
    faults: list[Fault] = field(default_factory=list)

    @property
    def done(self) -> list[Standing]:
        return [stay for stay in self.stays if not stay.is_planned]

    def spaces_of(self, pick: rows.Pick) -> set[str]:
        """Where the heads of a pick were cut."""
        return {stay.row.space for stay in self.stays for gone in stay.gone if gone.row is pick}

    def lost_of(self, loss: rows.Loss) -> list[tuple[Standing | None, int]]:
        """Where the plants of a loss stood."""
        placed: list[tuple[Standing | None, int]] = [
            (stay, gone.plants) for stay in self.stays for gone in stay.gone if gone.row is loss
        ]
        return placed + [(None, plants) for one, plants in self.nowhere if one is loss]


def follow(
    planting: rows.Planting,
    stays: Iterable[rows.Stay],
    losses: Sequence[rows.Loss],
    cuts: Iterable[tuple[rows.Pick, int]],
    *,
    there: Sequence[Standing] = (),
    lost_before: int = 0,
) -> Followed:
    """Follow the plants of one planting through rows.

    Parameters
    ----------
    planting : rows.Planting
    stays, losses : rows of this planting
    cuts : pairs of a pick and the plants that were gone with it
        0 for all but whole heads.
    there : sequence of Standing
        Stays of the tables, with what is left in them.
    lost_before : int
        Plants the tables hold as lost without a place.

    Returns
    -------
    Followed
        With faults where more left than came, or plants came from where they never stood.
    """
    fresh = [Standing(row, row, row.plants, row.to_day or _cleared(planting, row)) for row in stays]
    fresh.sort(key=lambda stay: stay.row.from_day)
    found = Followed(planting, [*there, *fresh])
    for stay in (stay for stay in fresh if not stay.is_planned and stay.row.moved_from):
        _came_from(stay, found)
    _first_stays(found)
    for stay in (stay for stay in fresh if stay.is_planned and stay.row.moved_from):
        stay.came_from = next((one for one in found.stays if _could_give(one, stay)), None)
    for loss in (loss for loss in losses if loss.space):
        _lost_in_its_space(loss, found)
    for pick, plants in sorted(cuts, key=lambda cut: (cut[0].day, cut[0].time or 0)):
        _cut(pick, plants, found)
    for loss in (loss for loss in losses if not loss.space):
        _lost_somewhere(loss, loss.plants, found)
    _make_room_to_lose(found, lost_before)
    _not_more_than_sown(found, lost_before)
    for stay in (stay for stay in found.done if stay.pk is None):
        _end(stay, found)
    return found


def _cleared(planting: rows.Planting, row: rows.Stay) -> date | None:
    """A cleared planting has no open stays."""
    return planting.cleared if row.state != "planned" else None


def _could_give(source: Standing, stay: Standing) -> bool:
    is_before = source.row.from_day <= stay.row.from_day
    return source is not stay and source.row.space == stay.row.moved_from and is_before


def _came_from(stay: Standing, found: Followed) -> None:
    """Take its plants out of the stay they came from: best one that ended that day, else one that stood that day."""
    day, plants = stay.row.from_day, stay.row.plants

    def rank(source: Standing) -> tuple[int, int]:
        if source.end is None:
            return (1, 0)
        days = (source.end - day).days
        return (0, 0) if days == 0 else (2, days) if days > 0 else (3, -days)

    sources = sorted((one for one in found.done if _could_give(one, stay)), key=rank)
    source = next((one for one in sources if one.left >= plants), None)
    if source is not None:
        _move(source, stay)
        return
    if sum(one.left for one in sources) >= plants:
        _out_of_several(sources, stay, found)
        return
    words = {"planting": stay.row.planting, "space": stay.row.moved_from, "day": day}
    if not sources:
        found.faults.append(Fault("stays", stay.row.row, "moved_from",
                                  _("%(planting)s did not stand in %(space)s on %(day)s.") % words,
                                  _("Add that stay, or correct the space.")))  # fmt: skip
        return
    most = sum(one.left for one in sources)
    problem = ngettext("%(most)d plant of %(planting)s was left in %(space)s to come from there.",
                       "%(most)d plants of %(planting)s were left in %(space)s to come from there.",
                       most) % {**words, "most": most}  # fmt: skip
    found.faults.append(Fault("stays", stay.row.row, "plants", problem, _("Correct the numbers of both stays.")))


def _move(source: Standing, stay: Standing) -> None:
    day = stay.row.from_day
    left_on = day if source.end is None or source.end >= day else source.end
    stay.came_from = source
    source.take(Gone(How.MOVED, stay.row.plants, left_on, stay, stay.row))


def _out_of_several(sources: Sequence[Standing], stay: Standing, found: Followed) -> None:
    """Plants out of several stays are a stay for each, so that each plant keeps its way."""
    plants, said = stay.row.plants, stay.row
    parts: list[Standing] = []
    for source in sources:
        some = min(plants, source.left)
        if not some:
            continue
        part = stay if not parts else Standing(said, said, some, stay.end)
        places = None if said.places is None else rounded(said.places * some / said.plants, 3)
        part.row, part.left = replace(said, plants=some, places=places), some
        _move(source, part)
        parts.append(part)
        plants -= some
    at = found.stays.index(stay)
    found.stays[at : at + 1] = parts


def _first_stays(found: Followed) -> None:
    """Stays of which nobody says where the plants came from: the first ones, or moves that were not called so."""
    placed = sum(stay.row.plants for stay in found.done if stay.pk is not None and stay.came_from is None)
    found.unplaced = max(found.planting.plants - placed, 0)
    for stay in found.done:
        if stay.pk is not None or stay.row.moved_from:
            continue
        if stay.row.plants <= found.unplaced:
            found.unplaced -= stay.row.plants
            continue
        ended = [
            one
            for one in found.done
            if one.end is not None and one.row.from_day < stay.row.from_day and one.end <= stay.row.from_day
        ]
        sources = sorted((one for one in ended if one.left >= stay.row.plants), key=_end_of, reverse=True)
        if sources:
            _move(sources[0], stay)
            continue
        problem = ngettext("%(left)d plant of %(planting)s had no place yet.",
                           "%(left)d plants of %(planting)s had no place yet.",
                           found.unplaced) % {"left": found.unplaced, "planting": stay.row.planting}  # fmt: skip
        remedy = _("Say in moved_from where they came from, or correct the number.")
        found.faults.append(Fault("stays", stay.row.row, "plants", problem, remedy))


def _end_of(stay: Standing) -> date:
    return stay.end or date.max


def _lost_in_its_space(loss: rows.Loss, found: Followed) -> None:
    there = [stay for stay in found.done if stay.row.space == loss.space and stay.row.from_day <= loss.day]
    words = {"planting": loss.planting, "space": loss.space, "day": loss.day}
    if not there:
        found.faults.append(Fault("losses", loss.row, "space",
                                  _("%(planting)s did not stand in %(space)s on %(day)s.") % words,
                                  _("Correct the space or the day, or leave the space empty.")))  # fmt: skip
        return
    there.sort(key=lambda stay: (not stay.holds(loss.day), _end_of(stay) if stay.holds(loss.day) else date.max))
    rest = _lose(loss, loss.plants, there)
    for stay in there if rest else ():
        make_room(stay, rest, found.done, {stay})
        rest = _lose(loss, rest, [stay])
    if rest:
        stood = loss.plants - rest
        problem = ngettext("%(stood)d plant of %(planting)s was left there to lose.",
                           "%(stood)d plants of %(planting)s were left there to lose.",
                           stood) % {**words, "stood": stood}  # fmt: skip
        found.faults.append(Fault("losses", loss.row, "plants", problem, _("Correct the number, or that of the stay.")))


def _lose(loss: rows.Loss, plants: int, there: Sequence[Standing]) -> int:
    """Take lost plants out of the first stay that holds them all, else out of several; how many stood nowhere."""
    lasting = [stay for stay in there if stay.left > plants or (stay.left == plants and not _outlasts(stay, loss.day))]
    holding = lasting[:1] or [stay for stay in there if stay.left >= plants][:1] or there
    for stay in holding:
        some = min(plants, stay.left)
        if some:
            stay.take(Gone(How.LOST, some, loss.day, row=loss))
            plants -= some
    return plants


def _outlasts(stay: Standing, day: date) -> bool:
    return stay.end is not None and stay.end > day


def _cut(pick: rows.Pick, plants: int, found: Followed) -> None:
    """Heads go with their plants, from where they were cut; more than stood there are a fact too, and take none."""
    there = [stay for stay in found.done if stay.holds(pick.day) and pick.space in {"", stay.row.space}]
    there.sort(key=_end_of)
    spared = [stay for stay in there if stay.end is not None and stay.end > pick.day and stay.left]
    for keep in (1, 0):  # a stay that lasted longer had a plant left to last with, where that can be
        for stay in there:
            some = min(plants, stay.left - (keep if stay in spared else 0))
            if some > 0:
                stay.take_more(Gone(How.CUT, some, pick.day, row=pick))
                plants -= some


def _lost_somewhere(loss: rows.Loss, plants: int, found: Followed) -> None:
    """A loss without a place is put where plants went missing; the rest stays without one."""
    ended = [
        stay for stay in found.done if stay.pk is None and stay.end and stay.left and stay.row.from_day <= loss.day
    ]
    for stay in sorted(ended, key=lambda stay: (not stay.holds(loss.day), _end_of(stay))):
        some = min(plants, stay.left)
        if some:
            stay.take(Gone(How.LOST, some, loss.day, row=loss))
            plants -= some
    if plants:
        found.nowhere.append((loss, plants))


def _left_to_lose(found: Followed, lost_before: int) -> int:
    """Plants that a loss without a place may have been: what a stay has left on its last day goes with that."""
    return found.unplaced + sum(stay.left for stay in found.done if stay.end is None) - lost_before


def _make_room_to_lose(found: Followed, lost_before: int) -> None:
    """Where more was lost than can have stood, what went another day may have gone from where a later stay ended."""
    short = sum(plants for _loss, plants in found.nowhere) - _left_to_lose(found, lost_before)
    for loss, _plants in found.nowhere:
        for stay in found.done:
            if short > 0 and (stay.end is None or stay.row.from_day <= loss.day):
                short -= make_room(stay, short, found.done, {stay})
    again, found.nowhere = found.nowhere, []
    for loss, plants in again:
        _lost_somewhere(loss, plants, found)


def _not_more_than_sown(found: Followed, lost_before: int) -> None:
    left = _left_to_lose(found, lost_before)
    if found.nowhere and sum(plants for _loss, plants in found.nowhere) > left:
        loss = found.nowhere[-1][0]
        problem = ngettext("%(left)d plant of %(planting)s was left to lose.",
                           "%(left)d plants of %(planting)s were left to lose.",
                           left) % {"left": max(left, 0), "planting": loss.planting}  # fmt: skip
        found.faults.append(Fault("losses", loss.row, "plants", problem, _("Correct the number.")))


def _end(stay: Standing, found: Followed) -> None:
    """What is left on the last day of a stay was cleared with its planting, or went without a note."""
    if stay.end is None or not stay.left:
        return
    cleared = found.planting.cleared
    if stay.end < stay.row.from_day:
        found.faults.append(Fault("stays", stay.row.row, "from",
                                  _("%(planting)s was cleared before, on %(day)s.")
                                  % {"planting": stay.row.planting, "day": stay.end},
                                  _("Check both days.")))  # fmt: skip
        return
    how = How.CLEARED if stay.row.cleared or (cleared is not None and stay.end >= cleared) else How.NOT_NOTED
    stay.take(Gone(how, stay.left, stay.end))


class Harvest(NamedTuple):
    """How a planting is harvested, as its schedule says."""

    way: str
    unit: str
    units_per_plant: Decimal


def heads_cut(pick: rows.Pick, harvest: Harvest | None) -> int:
    """Plants that are gone with a pick: whole heads only, those thrown out while cutting too."""
    if harvest is not None and harvest.way != Schedule.Way.HEAD:
        return 0
    counted = (
        pick.amount if unit_name(pick.unit) == "head" else pick.also if unit_name(pick.also_unit) == "head" else None
    )
    if counted is None:
        return 0
    each = harvest.units_per_plant if harvest is not None and unit_name(harvest.unit) == "head" else Decimal(1)
    return ceil((counted + (pick.culled or 0)) / each)
