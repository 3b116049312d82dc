"""What stands on the farm today and what each planting will give: followed once after each entry, then remembered.

Phones ask for this with every page. It is worked out from the plantings that stand, however many years of records lie
behind them; the farm's own pace, which needs the plantings of a year and a quarter, is learned once a day.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from farmops.core.coming import Outlook
from farmops.core.growth import Slowness, over_on
from farmops.core.schedule import Planting, Stage
from farmops.growing import ground_now
from farmops.growing.balance import Balance, Here
from farmops.growing.ground_now import Key, remembered
from farmops.planning.from_tables import grown
from farmops.planning.own_pace import own_pace
from farmops.planning.own_records import own_records, told_of
from farmops.planning.picking_waits import Blocked, blocked_on, may_be_cut
from farmops.planning.planting_rows import planting_rows
from farmops.planning.rows import FarmRows
from farmops.planning.rows import Planting as PlantingRow
from farmops.planning.standing import Growing, growing_of, place_of, schedules_of


@dataclass(frozen=True, slots=True)
class Standing:
    """All that stands or is planned.

    Attributes
    ----------
    today : date
    rows : FarmRows
        What grows, without the spaces; nothing of what is sold.
    growing : Growing
    balances : mapping of planting code to Balance
        Where its plants stand.
    """

    today: date
    rows: FarmRows
    growing: Growing
    balances: Mapping[str, Balance]

    def outlook_of(self, code: str) -> tuple[Planting, Outlook] | None:
        """A standing planting and what is expected of it."""
        pairs = zip(self.growing.plantings, self.growing.outlooks, strict=True)
        return next((pair for pair in pairs if pair[0].key == code), None)

    def planned(self) -> Sequence[PlantingRow]:
        """Plantings that are to be sown, earliest first."""
        return sorted((one for one in self.rows.plantings if one.state == "planned"), key=lambda one: one.sown)

    def blocked(self, day: date) -> Mapping[str, Sequence[Blocked]]:
        """What may not be cut on a day, by its planting: in which of its places, until when."""
        found: dict[str, list[Blocked]] = defaultdict(list)
        for one in blocked_on(self.rows, day, self.today):
            found[one.planting].append(one)
        return found

    def may_be_cut(self, day: date) -> list[tuple[Planting, Outlook]]:
        """Every planting with what is expected of it, less what stands in places that wait on that day."""
        blocked = blocked_on(self.rows, day, self.today)
        return may_be_cut(self.growing, blocked, self.today)


@dataclass(frozen=True, slots=True)
class MoveDue:
    """Plants of a stay whose stage is over, or will be."""

    planting: Planting
    here: Here
    stage: Stage
    next_stage: Stage
    due_on: date


def moves_due(standing: Standing, until: date) -> list[MoveDue]:
    """Stays whose plants should have gone on to the next stage by a day, those due first first."""
    found = []
    for planting in standing.growing.plantings:
        stages = planting.schedule.stages
        factors = (standing.growing.own.get(planting.variety) or Slowness()).factors(len(stages))
        for here in standing.balances[planting.key].here:
            number = _stage_number(planting, here)
            if number >= len(stages) - 1:
                continue
            entered = here.stay.from_on
            due_on = over_on(stages[number].need, standing.growing.place, entered, factors[number])
            due_on += timedelta(days=_late(planting))
            if due_on <= until:
                found.append(MoveDue(planting, here, stages[number], stages[number + 1], due_on))
    return sorted(found, key=lambda one: (one.due_on, one.planting.key, one.here.stay.pk))


def standing_now(today: date, key: Key | None = None) -> Standing:
    """What stands today; worked out anew only where an entry was made since.

    `key`: of this moment, where the newest entries were asked for already.
    """
    return remembered("standing", today, lambda: _standing(today), key=key)


def _standing(today: date) -> Standing:
    """On its first asking of a day with what the plantings of a year and a quarter tell of their days."""
    pace = _paces.get(today)
    told = own_records(today) if pace is None else None
    records = planting_rows(today, walks=told.walks if told is not None else None)
    rows = grown(records)
    if told is not None:
        versions = schedules_of(rows)
        pace = own_pace(told_of(told, versions), place_of(rows), today, rows.the_farm.harvest_days, versions)
        _paces.clear()
        _paces[today] = pace
    return Standing(today, rows, growing_of(rows, today, pace, records.kinds), records.balances)


def forget() -> None:
    """As if nothing had been worked out yet."""
    ground_now.forget()
    _paces.clear()


_paces: dict[date, Mapping[str, Slowness]] = {}


def _stage_number(planting: Planting, here: Here) -> int:
    """The stage a stay is in: the one noted, else the first that stands in this kind of space."""
    stages = planting.schedule.stages
    if here.stay.stage_number:
        return min(here.stay.stage_number, len(stages)) - 1
    return next((number for number, one in enumerate(stages) if one.kind == here.stay.space.kind.name), 0)


def _late(planting: Planting) -> int:
    walk = planting.last_walk()
    return round(walk.days_late) if walk is not None and walk.days_late is not None else 0
