"""What comes of plants that wait: nothing before the day their wait ends, and nothing that is past its best by then."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from farmops.core.coming import DAY, Line, Outlook
from farmops.core.schedule import Lost, Picked, Planting, Stand, Way
from farmops.core.supply import outlook
from farmops.planning.picking_waits import Blocked, blocked_on, ready_plants, share_seen
from farmops.planning.rows import FarmRows
from farmops.planning.standing import Growing


def after_waits(rows: FarmRows, growing: Growing, as_of: date) -> Growing:
    """The same plantings with what may be cut of them: place by place, from the end of the place's wait on.

    What waits until nobody knows when is not counted on.
    """
    waits: dict[str, list[Blocked]] = defaultdict(list)
    for one in blocked_on(rows, as_of, as_of):
        waits[one.planting].append(one)
    outlooks = [
        _in_parts(planting, whole, waits[planting.key], growing, as_of) if planting.key in waits else whole
        for planting, whole in zip(growing.plantings, growing.outlooks, strict=True)
    ]
    return replace(growing, outlooks=tuple(outlooks))


def _in_parts(planting: Planting, whole: Outlook, waits: Sequence[Blocked], growing: Growing, as_of: date) -> Outlook:
    """The places without a wait, then those of each wait: lines of their own."""
    here = [stand for stand in planting.stands if _is_open(stand, as_of)]
    until = {space: one.until.date() if one.until else None for one in waits for space in one.spaces}
    by_end: dict[date | None, list[str]] = defaultdict(list)
    for space in dict.fromkeys(stand.space for stand in here):
        by_end[until.get(space, as_of)].append(space)
    if not waits[0].spaces:  # nobody said where any of it stands
        by_end = {waits[0].until.date() if waits[0].until else None: []}
    found = Outlook(whole.key, notes=whole.notes)
    own = growing.own.get(planting.variety)
    for end, spaces in by_end.items():
        part = whole
        if len(by_end) > 1:
            part = outlook(_part_of(planting, here, spaces), growing.place, as_of, own)
        found.lines += [_from(end, line, planting.schedule.way) for line in part.lines]
    return found


def _is_open(stand: Stand, as_of: date) -> bool:
    return stand.from_day <= as_of and (stand.to_day is None or stand.to_day > as_of)


def _part_of(planting: Planting, here: Sequence[Stand], spaces: Collection[str]) -> Planting:
    """What stands in some of its spaces: of picks, losses and walks that name none of today's, a share by plants."""
    off = {stand.space for stand in here} - set(spaces)
    part = [stand for stand in here if stand.space in spaces]
    is_ready = ready_plants(here, planting) > 0
    plants, everyone = (
        ready_plants(some, planting) if is_ready else sum(stand.plants for stand in some) for some in (part, here)
    )
    shares = {**dict.fromkeys(off, 0.0), **dict.fromkeys(spaces, 1.0)}
    share = plants / everyone if everyone else 0.0
    most = plants * planting.schedule.per_plant
    return replace(
        planting,
        stands=tuple(stand for stand in planting.stands if stand.space not in off),
        losses=tuple(_losses(planting.losses, shares, share)),
        picks=tuple(_picks(planting.picks, shares, share)),
        walks=tuple(
            walk
            if walk.ready is None
            else replace(walk, ready=share_seen(walk.ready, share, most, planting.schedule.way))
            for walk in planting.walks
        ),
    )


def _losses(losses: Iterable[Lost], shares: Mapping[str, float], share: float) -> list[Lost]:
    found = [replace(loss, plants=loss.plants * shares.get(loss.space, share)) for loss in losses]
    return [loss for loss in found if loss.plants > 0]


def _picks(picks: Iterable[Picked], shares: Mapping[str, float], share: float) -> list[Picked]:
    found = [replace(pick, amount=pick.amount * shares.get(pick.space, share)) for pick in picks]
    return [pick for pick in found if pick.amount > 0]


def _from(end: date | None, line: Line, way: Way) -> Line:
    """A line whose plants may be cut from a day on; None: nobody knows from when."""
    if end is None:
        return Line(line.on_the_way, line.at_harvest)
    late = timedelta(0)
    if way is Way.CUT and line.coming:
        late = max(late, end - line.coming[0].first)  # what grows again begins so much later
    coming = []
    for number, one in enumerate(line.coming):
        by = late if number else timedelta(0)
        if end <= one.last + by:
            coming.append(replace(one, first=max(one.first + by, end), last=one.last + by))
    last = max((one.last + DAY for one in coming), default=date.min)
    at_harvest = (
        [replace(taken, to_day=max(taken.to_day, last)) for taken in line.at_harvest] if late else line.at_harvest
    )
    return Line(line.on_the_way, at_harvest, coming)
