"""What must not be cut on a day, place by place: the plants of a place that waits are off every list, the others stay.

Waits follow the plants: those that stood in a treated space on the day of the job carry it wherever they went, and what
came into the space later has nothing to wait for but that people may enter.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from farmops.core.coming import Outlook
from farmops.core.schedule import Planting, Stand, Way
from farmops.core.supply import outlook
from farmops.core.waiting_times import after, job_end, not_before
from farmops.planning.rows import FarmRows, Stay, Waiting
from farmops.planning.standing import Growing


@dataclass(frozen=True, slots=True)
class Blocked:
    """Plants that may not be cut; `until` None: the label's days are not known, so not until somebody has asked.

    Attributes
    ----------
    spaces : tuple of str
        Where those of the planting stand that wait for this; none: nobody said where any of it stands.
    is_own : bool
        The grower's own wait; then `product` is its reason, and without a moment it holds until it is lifted.
    """

    planting: str
    variety: str
    spaces: tuple[str, ...]
    until: datetime | None
    product: str
    is_own: bool = False

    def holds_in(self, space: str) -> bool:
        """Whether plants in a space wait; "": wherever it may be."""
        return not self.spaces or not space or space in self.spaces


@dataclass(frozen=True, slots=True)
class _Wait:
    """One wait of a place."""

    until: datetime | None
    product: str
    is_own: bool
    since: date

    @property
    def last_first(self) -> tuple[bool, float]:
        return self.until is None, self.until.timestamp() if self.until else 0.0


Told = tuple[Waiting, _Wait]  # a row that still holds, and its wait


def blocked_on(rows: FarmRows, day: date, as_of: date) -> tuple[Blocked, ...]:
    """What may not be cut at any time of a day's morning: for each planting and wait the places it holds in.

    Where the plants stand is told by the records up to and including `as_of`.

    In a place that waits for several things the longest counts. Where nobody said from which place plants came, they
    may have come from any that emptied by then.
    """
    zone = rows.the_farm.time_zone
    morning = datetime.combine(day, time(), ZoneInfo(zone))
    told = [(row, wait) for row in rows.waiting if row.ended <= day and _lasts(wait := _wait(row, zone), morning)]
    if not told:
        return ()
    stays: dict[str, list[Stay]] = defaultdict(list)
    for stay in rows.stays:
        if stay.state == "done" and stay.from_day <= as_of:
            stays[stay.planting].append(stay)
    found = []
    for planting in rows.plantings:
        if planting.state != "done" or planting.sown > as_of or (planting.cleared and planting.cleared <= as_of):
            continue
        code = planting.planting
        waits = _by_place(stays[code], [one for one in told if one[0].planting in ("", code)], morning, as_of)
        for (until, product, is_own), spaces in _longest(waits).items():
            found.append(Blocked(code, planting.variety, tuple(filter(None, spaces)), until, product, is_own))
    return tuple(found)


def may_be_cut(growing: Growing, blocked: Iterable[Blocked], as_of: date) -> list[tuple[Planting, Outlook]]:
    """Every planting with what is expected of it, less what stands in places that wait.

    Picks and losses of which nobody said where, are taken off what is left: rather too little than too much.
    """
    waits: dict[str, list[Blocked]] = defaultdict(list)
    for one in blocked:
        waits[one.planting].append(one)
    found = []
    for planting, whole in zip(growing.plantings, growing.outlooks, strict=True):
        if planting.key not in waits:
            found.append((planting, whole))
        elif (free := free_of(planting, waits[planting.key], as_of)) is not None:
            found.append((free, outlook(free, growing.place, as_of, growing.own.get(planting.variety))))
    return found


def free_of(planting: Planting, blocked: Sequence[Blocked], as_of: date) -> Planting | None:
    """The part of a planting that stands in places that do not wait; None where there is no such part."""
    if any(not one.spaces for one in blocked):
        return None
    off = {space for one in blocked for space in one.spaces}
    here = [
        stand for stand in planting.stands if stand.from_day <= as_of and (stand.to_day is None or stand.to_day > as_of)
    ]
    free = [stand for stand in here if stand.space not in off]
    if not free:
        return None
    plants, everyone = ready_plants(free, planting), ready_plants(here, planting)
    share = plants / everyone if everyone else 0.0
    most = plants * planting.schedule.per_plant
    walks = tuple(
        walk if walk.ready is None else replace(walk, ready=share_seen(walk.ready, share, most, planting.schedule.way))
        for walk in planting.walks
    )
    return replace(
        planting,
        stands=tuple(stand for stand in planting.stands if stand.space not in off),
        losses=tuple(loss for loss in planting.losses if loss.space not in off),
        picks=tuple(pick for pick in planting.picks if pick.space not in off),
        walks=walks,
    )


def free_from(row: Waiting, zone: str) -> datetime | None:
    """When a wait is over; None where nobody knows yet."""
    if row.not_before is not None:
        minute = row.not_before_at or 0
        # An hour that comes twice in autumn is the second: the longer wait.
        return datetime.combine(row.not_before, time(minute // 60, minute % 60, fold=1), ZoneInfo(zone))
    hours = None if row.entry_hours is None else float(row.entry_hours)
    return not_before(job_end(row.ended, row.ended_at, zone), row.harvest_days, hours)


def share_seen(ready: float, share: float, most: float, way: Way) -> float:
    """Of what was seen ready of all of it; of heads never more than stand there."""
    return min(ready * share, most) if way is Way.HEAD else ready * share


def ready_plants(stands: Iterable[Stand], planting: Planting) -> float:
    """Plants in the last stage."""
    last = len(planting.schedule.stages) - 1
    return sum(stand.plants for stand in stands if stand.stage == last)


def _by_place(stays: Sequence[Stay], told: Sequence[Told], morning: datetime, as_of: date) -> dict[str, list[_Wait]]:
    """Waits of the places in which a planting stands; under "" where it stands nowhere that anybody noted."""
    whole = [wait for row, wait in told if not row.space]
    carried = _carried(stays, told)
    here = [number for number, stay in enumerate(stays) if stay.to_day is None or stay.to_day > as_of]
    if not here:
        return {"": [*whole, *(wait for waits in carried.values() for wait in waits)]}
    found: dict[str, list[_Wait]] = defaultdict(list)
    for number in here:
        found[stays[number].space] += [*whole, *carried[number], *_no_entry(stays[number], told, morning)]
    return found


def _carried(stays: Sequence[Stay], told: Sequence[Told]) -> dict[int, list[_Wait]]:
    """By number of a stay, what its plants wait for since they stood there, or bring from where they came from."""
    found: dict[int, list[_Wait]] = {}
    for number in sorted(range(len(stays)), key=lambda number: (stays[number].from_day, number)):
        stay = stays[number]
        own = [wait for row, wait in told if row.space and _stood(stay, row)]
        brought = [
            wait
            for before, waits in found.items()
            if _may_come_from(stay, stays[before])
            for wait in waits
            if wait.since <= stay.from_day
        ]
        found[number] = list(dict.fromkeys([*own, *brought]))
    return found


def _stood(stay: Stay, row: Waiting) -> bool:
    """Whether plants of a stay stood in a space on the day of its job."""
    return stay.space == row.space and stay.from_day <= row.ended and (stay.to_day is None or row.ended <= stay.to_day)


def _may_come_from(stay: Stay, before: Stay) -> bool:
    if stay.moved_from:
        return before.space == stay.moved_from and (before.to_day is None or before.to_day >= stay.from_day)
    return before.to_day is not None and before.to_day <= stay.from_day


def _no_entry(stay: Stay, told: Sequence[Told], morning: datetime) -> list[_Wait]:
    """Plants that came after a job have nothing to wait for but that people may enter the space."""
    found = []
    for row, wait in told:
        if row.space == stay.space and row.ended < stay.from_day and row.entry_hours:
            end = job_end(row.ended, row.ended_at, str(morning.tzinfo))
            entry = replace(wait, until=after(end, hours=float(row.entry_hours)))
            found += [entry] if _lasts(entry, morning) else []
    return found


def _wait(row: Waiting, zone: str) -> _Wait:
    return _Wait(free_from(row, zone), row.product, bool(row.reason), row.ended)


def _lasts(wait: _Wait, morning: datetime) -> bool:
    return wait.until is None or wait.until > morning


def _longest(waits: Mapping[str, Sequence[_Wait]]) -> dict[tuple[datetime | None, str, bool], list[str]]:
    """The longest wait of each place, with the places that have it, in their order."""
    found: dict[tuple[datetime | None, str, bool], list[str]] = defaultdict(list)
    for space, of_space in waits.items():
        if of_space:
            longest = max(of_space, key=lambda wait: wait.last_first)
            found[longest.until, longest.product, longest.is_own].append(space)
    return found
