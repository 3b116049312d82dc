"""What plants must wait for before they are cut: treatments with their labels' days, and the grower's own waits.

A wait follows the plants: it holds for the stay it was said of, or whose space was treated, and for every stay plants
moved to from there afterwards. What moved out before has nothing to wait for, nor has what came in later.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.utils.translation import gettext as _

from farmops.core.waiting_times import after, job_end, not_before
from farmops.farm.days import farm_day, farm_zone, instant_of
from farmops.growing.ground_now import remembered
from farmops.growing.models import Leaving, Planting, Space, Stay
from farmops.growing.natural_order import walking_key
from farmops.waiting.models import DoNotCut, Treatment
from farmops.waiting.wait_words import wait_in_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """One thing to wait for.

    Attributes
    ----------
    until : datetime or None
        First moment at which it may be cut; None: until it is lifted, or until the label's days are known.
    reason : str
    since : date
        The day it was said of, or of the treatment.
    wait : int or None
        Key of the grower's own wait, which can be lifted; None: a treatment.
    by : str
    """

    until: datetime | None
    reason: str
    since: date
    wait: int | None = None
    by: str = ""

    @property
    def last_first(self) -> tuple[bool, float]:
        """What to sort by: the longest last."""
        return self.until is None, self.until.timestamp() if self.until else 0.0


@dataclass(frozen=True, slots=True)
class Waits:
    """What one planting waits for: by stay, and of all of it."""

    everywhere: tuple[Wait, ...]
    by_stay: Mapping[int, tuple[Wait, ...]]

    def of(self, stay: int | None = None) -> tuple[Wait, ...]:
        """Of one stay, or of any where nobody says which: each once, the longest first."""
        if stay is not None:
            found = [*self.everywhere, *self.by_stay.get(stay, ())]
        else:
            found = [*self.everywhere, *(wait for waits in self.by_stay.values() for wait in waits)]
        return tuple(sorted(dict.fromkeys(found), key=lambda wait: wait.last_first, reverse=True))

    def spaces_of(self, wait: Wait, here: Iterable[Stay]) -> tuple[str, ...]:
        """In which spaces a wait holds, of those in which the planting stands."""
        return tuple(dict.fromkeys(stay.space.name for stay in here if wait in self.of(stay.pk)))

    def longest(self, stay: int | None = None) -> Wait | None:
        """The one that counts; None: it may be cut."""
        return next(iter(self.of(stay)), None)


@dataclass(frozen=True, slots=True)
class _Found:
    """Waits of whole plantings, of stays with all their plants move to, and of the place alone."""

    whole: dict[int, list[Wait]] = field(default_factory=lambda: defaultdict(list))
    own: dict[int, list[Wait]] = field(default_factory=lambda: defaultdict(list))
    here: dict[int, list[Wait]] = field(default_factory=lambda: defaultdict(list))


def waits_for(plantings: Iterable[Planting], at: datetime) -> dict[int, Waits]:
    """What each planting waits for at a moment, by its key. Five queries at most, for one planting and for all.

    Parameters
    ----------
    plantings : iterable of Planting
    at : datetime
        Waits that are over by then are left out, and so is what was said or done on a later day.
    """
    plantings = list(plantings)
    zone = farm_zone()
    day = farm_day(at, zone)
    keys = [planting.pk for planting in plantings]
    earliest = min((planting.sown_on for planting in plantings), default=day)
    treatments = _treatments(keys, earliest, day)
    said = DoNotCut.objects.in_force().filter(planting__in=keys, entry__farm_day__lte=day)
    own = list(said.select_related("entry__by"))
    # Where the plants are and were, matters only where something was said of a place.
    by_space = any(treatment.space_id is not None for treatment in treatments)
    stays = _stays(keys, day) if by_space or any(one.stay_id is not None for one in own) else {}
    left = _left(keys) if by_space else {}
    found = _Found()
    for treatment in treatments:
        _of_treatment(treatment, stays, left, zone, found)
    for one in own:
        wait = Wait(
            until=one.before,
            reason=one.reason,
            since=one.entry.farm_day,
            wait=one.pk,
            by=str(one.entry.by or ""),
        )
        (found.whole[one.planting_id] if one.stay_id is None else found.own[one.stay_id]).append(wait)
    followed = _followed(stays, found.own)
    return {key: _waits(key, found, followed, stays, at) for key in keys}


def lines_now(planting: Planting, now: datetime) -> list[tuple[Wait, str]]:
    """What a planting waits for now, the longest first, each in words, with the places in which it holds.

    For pages: read once after each entry.
    """
    zone = farm_zone()
    today = farm_day(now, zone)

    def read() -> tuple[Waits, list[Stay]]:
        waits = waits_for([planting], instant_of(today, 0, zone))[planting.pk]
        if not waits.of():
            return waits, []
        here = Stay.objects.live().filter(planting=planting, state=Stay.State.DONE, is_over=False)
        in_order = sorted(here.select_related("space__kind"), key=lambda stay: (walking_key(stay.space), stay.pk))
        return waits, in_order

    waits, here = remembered(f"waits of {planting.pk}", today, read)
    return [
        (one, in_words(one, planting, waits.spaces_of(one, here), zone))
        for one in waits.of()
        if one.until is None or one.until > now
    ]


def words_in(space: Space, here: Iterable[Stay], now: datetime) -> list[str]:
    """What must not be cut in a space now, for each planting that stands there; `here` with their plantings."""
    stays = list(here)
    zone = farm_zone()
    today = farm_day(now, zone)
    plantings = {stay.planting_id: stay.planting for stay in stays}
    found = remembered(f"waits in {space.pk}", today, lambda: waits_for(plantings.values(), instant_of(today, 0, zone)))
    lines: dict[str, None] = {}
    for stay in stays:
        for wait in found[stay.planting_id].of(stay.pk):
            if wait.until is None or wait.until > now:
                lines[in_words(wait, stay.planting, [space.name], zone)] = None
    return list(lines)


def in_words(wait: Wait, planting: Planting, spaces: Sequence[str], zone: ZoneInfo) -> str:
    """As `wait_in_words`."""
    return wait_in_words(
        f"{planting.code} {planting.variety.name}",
        spaces=spaces,
        until=wait.until,
        reason=wait.reason,
        is_own=wait.wait is not None,
        zone=zone,
    )


def _stays(keys: Sequence[int], day: date) -> dict[int, Stay]:
    done = Stay.objects.live().filter(planting__in=keys, state=Stay.State.DONE, from_on__lte=day)
    return {stay.pk: stay for stay in done}


def _left(keys: Sequence[int]) -> Mapping[int, list[tuple[date, int]]]:
    """By stay, on which day how many plants left it."""
    found: dict[int, list[tuple[date, int]]] = defaultdict(list)
    rows = Leaving.objects.live().filter(planting__in=keys).exclude(stay=None)
    for stay, left_on, plants in rows.values_list("stay", "left_on", "plants"):
        found[stay].append((left_on, plants))
    return found


def _treatments(keys: Sequence[int], earliest: date, day: date) -> list[Treatment]:
    """Of these plantings, and of spaces they stand in or stood in."""
    spaces = Stay.objects.live().filter(planting__in=keys, state=Stay.State.DONE, from_on__lte=day).values("space")
    which = Q(planting__in=keys) | Q(planting=None, space__in=spaces)
    return list(Treatment.objects.live().filter(which, ended_on__gte=earliest, ended_on__lte=day))


def _of_treatment(
    treatment: Treatment,
    stays: Mapping[int, Stay],
    left: Mapping[int, list[tuple[date, int]]],
    zone: ZoneInfo,
    found: _Found,
) -> None:
    end = job_end(treatment.ended_on, treatment.ended_minute, zone.key)
    hours = None if treatment.entry_hours is None else float(treatment.entry_hours)
    until = not_before(end, treatment.harvest_days, hours)
    wait = Wait(until=until, reason=treatment.product, since=treatment.ended_on, by=treatment.by_name)
    if treatment.space_id is None and treatment.planting_id is not None:
        found.whole[treatment.planting_id].append(wait)
        return
    for key, stay in stays.items():
        if stay.space_id != treatment.space_id or treatment.planting_id not in {None, stay.planting_id}:
            continue
        if _stood_there(stay, left.get(key, ()), treatment.ended_on):
            found.own[key].append(wait)
        elif stay.from_on > treatment.ended_on and hours:
            entry = _("%(product)s, nobody may enter") % {"product": treatment.product}
            found.here[key].append(replace(wait, until=after(end, hours=hours), reason=entry))


def _stood_there(stay: Stay, left: Iterable[tuple[date, int]], day: date) -> bool:
    """Whether plants stood in a stay on a day; those that came or left on that very day did."""
    return stay.from_on <= day and sum(plants for left_on, plants in left if left_on < day) < stay.plants


def _followed(stays: Mapping[int, Stay], own: Mapping[int, Sequence[Wait]]) -> dict[int, tuple[Wait, ...]]:
    """Each stay's waits with those its plants brought along."""
    found: dict[int, tuple[Wait, ...]] = {}
    for key in stays:
        way: list[int] = []
        at = key
        while at in stays and at not in way and at not in found:
            way.append(at)
            at = stays[at].came_from_id or 0
        for one in reversed(way):
            before = found.get(stays[one].came_from_id or 0, ())
            brought = [wait for wait in before if wait.since <= stays[one].from_on]
            found[one] = (*own.get(one, ()), *brought)
    return found


def _waits(
    key: int, found: _Found, followed: Mapping[int, Sequence[Wait]], stays: Mapping[int, Stay], at: datetime
) -> Waits:
    def lasting(waits: Iterable[Wait]) -> tuple[Wait, ...]:
        return tuple(wait for wait in waits if wait.until is None or wait.until > at)

    own = [stay for stay in followed if stays[stay].planting_id == key]
    by_stay = {stay: lasting([*followed[stay], *found.here.get(stay, ())]) for stay in own}
    return Waits(lasting(found.whole[key]), {stay: waits for stay, waits in by_stay.items() if waits})
