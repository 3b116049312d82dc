"""What the pages of spaces show: places, what is free and when, who stands there, what clashes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from farmops.core.calendar import WEEK, monday_of
from farmops.growing.ground_now import Key, ground_now, key_now, remembered
from farmops.growing.models import Space, SpaceKind, Stay
from farmops.growing.places import HARDLY, Clash, Narrowest, Occupant, SpaceRoom
from farmops.growing.plan_stay import clash_in_words
from farmops.growing.set_light import said_of

WEEKS_AHEAD = 10


@dataclass(frozen=True, slots=True)
class SpaceLine:
    """One space in the list.

    Attributes
    ----------
    free, over : float
        Places free today; places too few today. [places]
    because : str
        Why it may be over-full.
    names : tuple of str
        What stands there.
    """

    space: Space
    places: float
    free: float
    over: float
    because: str
    names: tuple[str, ...]
    clashes: tuple[Clash, ...]

    @property
    def is_over_full(self) -> bool:
        return self.over > HARDLY

    @property
    def whole_free(self) -> int:
        """A part of a place is none that one could use."""
        return math.floor(max(self.free, 0.0) + HARDLY)


@dataclass(frozen=True, slots=True)
class KindOfSpaces:
    """Spaces of one kind, in walking order, and what is free in all of them."""

    kind: SpaceKind
    lines: Sequence[SpaceLine]

    @property
    def name(self) -> str:
        return self.kind.name

    @property
    def light(self) -> str:
        """Its shade and lamps in words; empty under an open sky."""
        return said_of(self.kind) if self.kind.shade_by_date or self.kind.lamp_hours_by_date else ""

    @property
    def free(self) -> float:
        return sum(max(line.free, 0.0) for line in self.lines)

    @property
    def whole_free(self) -> int:
        return sum(line.whole_free for line in self.lines)

    @property
    def places(self) -> float:
        return sum(line.places for line in self.lines)


@dataclass(frozen=True, slots=True)
class WeekAhead:
    """The tightest day of a week."""

    monday: date
    tight: Narrowest

    @property
    def free(self) -> float:
        return max(self.tight.free, 0.0)

    @property
    def over(self) -> float:
        return max(-self.tight.free, 0.0)


@dataclass(frozen=True, slots=True)
class Spell:
    """So many places from a day on; none where it is out of use. `from_on` is empty for the beginning."""

    from_on: date | None
    places: int


@dataclass(frozen=True, slots=True)
class SpacePage:
    """One space: who stands there, who is planned, what is free week by week, what clashes, its places by day."""

    line: SpaceLine
    here: Sequence[Occupant]
    planned: Sequence[Occupant]
    weeks: Sequence[WeekAhead]
    clashes: Sequence[str]
    spells: Sequence[Spell]


def spaces_list(today: date, *, key: Key | None = None) -> tuple[list[KindOfSpaces], list[str]]:
    """All spaces by kind, in walking order; and every clash from today on in words. One query where nothing changed."""
    key = key or key_now(today)
    return remembered("spaces", today, lambda: _spaces(today, key), key=key)


def spaces_not_used(today: date, kinds: Sequence[KindOfSpaces], key: Key) -> list[Space]:
    """Spaces that are in none of the lines of `spaces_list`: without a place today, and nothing stands there."""
    shown = {line.space.pk for kind in kinds for line in kind.lines}
    return [room.space for room in ground_now(today, key=key).rooms.values() if room.space.pk not in shown]


def _spaces(today: date, key: Key) -> tuple[list[KindOfSpaces], list[str]]:
    lines = [_line(room, today) for room in ground_now(today, key=key).rooms.values()]
    in_use = [line for line in lines if line.places > 0 or line.names]
    kinds = {line.space.kind_id: line.space.kind for line in in_use}
    by_kind = [KindOfSpaces(kind, [one for one in in_use if one.space.kind_id == key]) for key, kind in kinds.items()]
    return by_kind, [clash_in_words(clash) for line in in_use for clash in line.clashes]


def space_page(space: Space, today: date) -> SpacePage:
    """One space, with its kind loaded."""
    room = ground_now(today).rooms[space.pk]
    monday = monday_of(today)
    weeks = [monday + number * WEEK for number in range(WEEKS_AHEAD)]
    return SpacePage(
        line=_line(room, today),
        here=[one for one in room.occupants if not one.is_planned],
        planned=[one for one in room.occupants if one.is_planned],
        weeks=[WeekAhead(week, room.narrowest(max(week, today), week + WEEK)) for week in weeks],
        clashes=[clash_in_words(clash) for clash in room.clashes(today)],
        spells=[Spell(None if first == date.min else first, round(places)) for first, places in room.capacity],
    )


def _line(room: SpaceRoom, today: date) -> SpaceLine:
    free = room.free(today)
    here = [one for one in room.occupants if not one.is_planned]
    reasons = dict.fromkeys(one.stay.over_full_because for one in here if one.stay.over_full_because)
    names = dict.fromkeys(_name(one.stay) for one in here)
    return SpaceLine(
        space=room.space,
        places=room.places(today),
        free=free,
        over=max(-free, 0.0),
        because="; ".join(reasons),
        names=tuple(names),
        clashes=tuple(room.clashes(today)),
    )


def _name(stay: Stay) -> str:
    return stay.planting.variety.name
