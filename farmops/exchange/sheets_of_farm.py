"""The farm in the tables as rows of its sheets, in the one form in which writing, reading and writing again agree.

What the sheets leave to be found out (which stay a loss was in, where plants came from) is found out here by the same
rules by which reading does, so that both say the same.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import count
from typing import TypeVar

from farmops.core.quantities import rounded
from farmops.exchange.follow_plants import Followed, Harvest, follow, heads_cut
from farmops.farm.days import farm_day, farm_zone, minute_of
from farmops.growing.models import Leaving
from farmops.growing.natural_order import natural_key
from farmops.planning import rows
from farmops.planning.from_tables import farm_rows
from farmops.planning.planting_rows import parts_of
from farmops.planning.rows import FarmRows, Row, ScheduleStage
from farmops.planning.stored import key_of
from farmops.waiting.models import DoNotCut

MOST_ROUNDS = 30  # two or three are usual
PLACES = 3
R = TypeVar("R", bound=Row)
CutIn = dict[tuple[str, str], set[str]]  # (key, planting) of a pick -> spaces its heads were taken from


@dataclass(frozen=True, slots=True)
class LastStages:
    """The last stage of each version of each schedule: what says how a planting is harvested."""

    versions: dict[str, list[tuple[date, ScheduleStage]]]

    @classmethod
    def of(cls, stages: Iterable[ScheduleStage]) -> "LastStages":
        last: dict[tuple[str, date], ScheduleStage] = {}
        for stage in stages:
            version = (stage.variety, stage.valid_from or date.min)
            if version not in last or stage.stage > last[version].stage:
                last[version] = stage
        versions: dict[str, list[tuple[date, ScheduleStage]]] = defaultdict(list)
        for (variety, valid_from), stage in sorted(last.items(), key=lambda pair: pair[0]):
            versions[variety].append((valid_from, stage))
        return cls(dict(versions))

    def on(self, variety: str, sown: date) -> Harvest | None:
        """Of the version that a sowing of a day follows."""
        versions = self.versions.get(variety)
        if not versions:
            return None
        stage = next((stage for day, stage in reversed(versions) if day <= sown), versions[0][1])
        return Harvest(stage.harvest, stage.unit, stage.units_per_plant or Decimal(1))


def sheets_of_farm() -> FarmRows:
    """Every sheet of the farm as it stands now, each row with its key."""
    found = farm_rows()
    treated = (wait for wait in found.waiting if not wait.reason)
    return in_one_form(replace(found, waiting=(*treated, *_own_waits())), _cut_in())


def in_one_form(found: FarmRows, cut_in: CutIn) -> FarmRows:
    """Rows as reading would have them: plants followed, keys one each, spaces in walking order."""
    picks = [_in_its_space(pick, cut_in.get((pick.key, pick.planting), set())) for pick in found.picks]
    keyed = replace(
        found,
        spaces=tuple(sorted(found.spaces, key=_walking_order)),
        plantings=_one_key_each(found.plantings),
        stays=_one_key_each(found.stays),
        losses=_one_key_each(_summed(found.losses)),
        walks=_one_key_each(found.walks),
        picks=_one_key_each(picks),
        market_days=_one_key_each(found.market_days),
        standing_orders=_one_key_each(found.standing_orders),
        box_counts=_one_key_each(found.box_counts),
        single_wants=_one_key_each(found.single_wants),
        waiting=_one_key_each(_said_once(found.waiting)),
    )
    return settled(keyed)


def settled(found: FarmRows, *, as_told: bool = False) -> FarmRows:
    """Stays, losses and picks as they would be written again after they were read.

    Parameters
    ----------
    found : FarmRows
    as_told : bool
        Plants are followed in the order of the rows first, as reading does: where rows leave open which stay a loss was
        in, their order decides.
    """
    last = LastStages.of(found.schedules)
    stays, losses, picks = by_planting(found.stays), by_planting(found.losses), by_planting(found.picks)
    stay_keys, loss_keys = {row.key for row in found.stays}, {row.key for row in found.losses}
    all_stays: list[rows.Stay] = []
    losses_of: dict[int, list[rows.Loss]] = {}
    pick_of: dict[int, rows.Pick] = {}
    for planting in found.plantings:
        code = planting.planting
        harvest = last.on(planting.variety, planting.sown)
        now = _Told(stays[code], [(loss, loss) for loss in losses[code]], [(pick, pick) for pick in picks[code]])
        if not as_told:
            now.stays.sort(key=_stay_order)
        now = _settle(planting, now, harvest, stay_keys, loss_keys)
        all_stays += now.stays
        for first, loss in now.losses:
            losses_of.setdefault(id(first), []).append(loss)
        pick_of |= {id(first): pick for first, pick in now.picks}
    return replace(
        found,
        stays=tuple(all_stays),
        losses=tuple(loss for first in found.losses for loss in losses_of.get(id(first), [first])),
        picks=tuple(pick_of.get(id(pick), pick) for pick in found.picks),
    )


@dataclass(slots=True)
class _Told:
    """What is told of one planting; losses and picks with the rows they first were."""

    stays: list[rows.Stay]
    losses: list[tuple[rows.Loss, rows.Loss]]
    picks: list[tuple[rows.Pick, rows.Pick]]


def _settle(
    planting: rows.Planting, told: _Told, harvest: Harvest | None, stay_keys: set[str], loss_keys: set[str]
) -> _Told:
    """Follow and tell again until both say the same; where rows contradict each other they stay as they are."""
    for _round in range(MOST_ROUNDS):
        losses, picks = [loss for _first, loss in told.losses], [pick for _first, pick in told.picks]
        one = follow(planting, told.stays, losses, [(pick, heads_cut(pick, harvest)) for pick in picks])
        if one.faults:
            return told
        fresh = _Told(
            sorted(_one_key_each(_stays_of(one), stay_keys), key=_stay_order),
            _losses_of(one, told.losses, loss_keys),
            [(first, _in_its_space(pick, one.spaces_of(pick))) for first, pick in told.picks],
        )
        is_same = fresh == told
        told = fresh
        if is_same:
            break
    return told


def follow_all(found: FarmRows) -> Iterator[Followed]:
    """Every planting with its plants followed through its rows alone."""
    last = LastStages.of(found.schedules)
    stays, losses, picks = by_planting(found.stays), by_planting(found.losses), by_planting(found.picks)
    for planting in found.plantings:
        code = planting.planting
        harvest = last.on(planting.variety, planting.sown)
        cuts = [(pick, heads_cut(pick, harvest)) for pick in picks[code]]
        yield follow(planting, stays[code], losses[code], cuts)


def by_planting(told: Iterable[R]) -> dict[str, list[R]]:
    found: dict[str, list[R]] = defaultdict(list)
    for row in told:
        found[getattr(row, "planting")].append(row)  # noqa: B009 - rows of plantings have it, Row has not
    return found


def _one_key_each(told: Iterable[R], taken: set[str] | None = None) -> tuple[R, ...]:
    """Each row with a key of its own: rows of one entry are numbered, past keys that are `taken`."""
    seen: set[str] = set()
    taken = set() if taken is None else taken
    found = []
    for row in told:
        key = row.key
        if key in seen:
            key = next(other for times in count(2) if (other := f"{row.key}/{times}") not in taken | seen)
        seen.add(key)
        found.append(row if key == row.key else replace(row, key=key))
    taken |= seen
    return tuple(found)


def _stays_of(one: Followed) -> Iterator[rows.Stay]:
    for stay in one.stays:
        said = stay.row
        gone = [(left.how, left.plants, left.day) for left in stay.gone]
        came_from = stay.came_from.row.space if stay.came_from else said.moved_from
        for plants, last, is_cleared in parts_of(
            said.plants, said.from_day, gone, said.to_day if stay.is_planned else None
        ):
            places = said.places
            if places is not None and plants != said.plants:
                places = rounded(places * plants / said.plants, PLACES)
            yield replace(said, plants=plants, to_day=last, places=places, moved_from=came_from, cleared=is_cleared)


def _stay_order(stay: rows.Stay) -> tuple[object, ...]:
    return stay.from_day, natural_key(stay.space), stay.key


def _losses_of(
    one: Followed, told: Iterable[tuple[rows.Loss, rows.Loss]], keys: set[str]
) -> list[tuple[rows.Loss, rows.Loss]]:
    """Losses where they are known to have been."""
    first_of = {loss.key: first for first, loss in told}
    placed = []
    for _first, loss in told:
        in_spaces: dict[str, int] = defaultdict(int)
        for stay, plants in one.lost_of(loss):
            in_spaces[stay.row.space if stay else ""] += plants
        placed += [replace(loss, plants=plants, space=space) for space, plants in in_spaces.items()]
    fresh = _one_key_each(placed, keys)
    firsts = [first_of[before.key] for before in placed]
    return list(zip(firsts, fresh, strict=True))


def _walking_order(space: rows.Space) -> tuple[object, ...]:
    return space.walk_order or 0, natural_key(space.kind), natural_key(space.space), space.from_day or date.min


def _summed(losses: Iterable[rows.Loss]) -> Iterator[rows.Loss]:
    """Parts of one entry that say the same but for the number, as one."""
    parts: dict[tuple[object, ...], rows.Loss] = {}
    for loss in losses:
        same = (loss.key, loss.planting, loss.space, loss.day, loss.cause)
        parts[same] = replace(loss, plants=loss.plants + parts[same].plants) if same in parts else loss
    return iter(parts.values())


def _said_once(waits: Iterable[rows.Waiting]) -> Iterator[rows.Waiting]:
    """A wait of one entry in one space, though plants of several stays are meant."""
    seen: list[tuple[str, rows.Waiting]] = []
    for wait in waits:
        if not wait.reason or (wait.key, wait) not in seen:
            yield wait
        if wait.reason:
            seen.append((wait.key, wait))


def _in_its_space(pick: rows.Pick, spaces: set[str]) -> rows.Pick:
    """A pick of heads says where they were cut, where all were cut in one space."""
    return replace(pick, space=next(iter(spaces))) if not pick.space and len(spaces) == 1 else pick


def _cut_in() -> CutIn:
    found: CutIn = defaultdict(set)
    cuts = Leaving.objects.live().filter(how=Leaving.How.CUT).select_related("planting", "stay__space", "entry")
    for cut in cuts.order_by("pk"):
        if cut.stay:
            found[key_of(cut.entry), cut.planting.code].add(cut.stay.space.name)
    return found


def _own_waits() -> Iterator[rows.Waiting]:
    """The grower's own waits where they were set; planning follows them to where the plants have gone since."""
    zone = farm_zone()
    waits = DoNotCut.objects.in_force().select_related("planting", "stay__space", "entry").order_by("pk")
    for wait in waits:
        yield rows.Waiting(
            key=key_of(wait.entry),
            planting=wait.planting.code,
            space=wait.stay.space.name if wait.stay else "",
            ended=wait.stay.from_on if wait.stay else wait.entry.farm_day,
            by=str(wait.entry.by or ""),
            reason=wait.reason,
            not_before=None if wait.before is None else farm_day(wait.before, zone),
            not_before_at=None if wait.before is None else minute_of(wait.before, zone),
        )
