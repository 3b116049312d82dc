"""What the page of a move shows: how many stand here, where they would go at one press, and what else has room."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from farmops.core.calendar import WEEK, monday_of
from farmops.core.room import NEVER
from farmops.farm.typed_amount import whole_of
from farmops.growing.chosen_spaces import into_text, into_words
from farmops.growing.ground_now import ground_now
from farmops.growing.models import Planting, Stay
from farmops.growing.move_plants import Growth
from farmops.growing.places import SpaceRoom, end_of
from farmops.growing.room_for import Coming, Into, RoomFor, rooms_when, spread
from farmops.journal.refusal import Refused

LOOK_AHEAD = 8  # weeks


@dataclass(frozen=True, slots=True)
class Choice:
    """Spaces of one kind to choose from."""

    kind: str
    rooms: Sequence[RoomFor]


@dataclass(frozen=True, slots=True)
class MovePage:
    """The page of a move.

    Attributes
    ----------
    here : int
        Plants that stand in the stay now.
    wanted : int
        How many are to go: as asked for, else all.
    offered : sequence of Into
        What one press moves; empty where there is no room.
    full : int
        Spaces without room that are left out of the choices.
    next_name : str
        The stage that comes next; empty after the last.
    due_on : date or None
        When they are to leave.
    room_from : date or None
        Where there is no room for all: the first Monday with room for them.
    """

    stay: Stay
    planting: Planting
    here: int
    wanted: int
    offered: Sequence[Into]
    choices: Sequence[Choice]
    full: int
    next_name: str
    kind_name: str
    due_on: date | None
    is_due: bool
    room_from: date | None

    @property
    def moving(self) -> int:
        return sum(one.plants for one in self.offered)

    @property
    def waiting(self) -> int:
        return self.here - self.moving

    @property
    def into(self) -> str:
        return into_text(self.offered)

    @property
    def to_words(self) -> Sequence[str]:
        return into_words(self.offered)

    @property
    def first_name(self) -> str:
        """What stands chosen at first in the list of spaces."""
        return self.offered[0].space.name if self.offered else ""


def move_page(stay: Stay, asked: Mapping[str, str], today: date) -> MovePage:
    """The page of a move of a stay.

    Parameters
    ----------
    stay : Stay
        With its planting, variety, space and kind loaded.
    asked : mapping
        `plants` and `to`, as a link or a form says them; what cannot be read is left out. `full`: those too.
    today : date
    """
    ground = ground_now(today)
    planting = stay.planting
    balance = ground.balances.get(planting.pk)
    growth = Growth(ground.paces.get(planting.pk), ground.place)
    here = balance.plants_in(stay) if balance else 0
    wanted = min(_plants_asked(asked.get("plants", ""), here), here)
    plans = ground.plans_of(planting.pk)
    own = {plan.pk for plan in plans}
    kind = growth.next_kind(stay)
    found = [one for one in ground.rooms.values() if one.space.pk != stay.space_id]
    rooms = rooms_when(found, lambda other: growth.coming(stay, other, today), without=own)
    named = [one for one in rooms if one.space.name.casefold() == asked.get("to", "").casefold() and one.fits]
    of_kind = [one for one in rooms if one.space.kind_id == kind.pk]
    offered = spread(wanted, named or of_kind, {plan.space_id for plan in plans if plan.from_on <= today})
    now = growth.stage_of(stay)
    after = growth.pace.after(now) if growth.pace and now else None
    end = end_of(stay, growth.pace, growth.place, ground.entered.get(stay.pk))
    same_kind = [one for one in found if one.space.kind_id == kind.pk]
    to_choose = [one for one in rooms if one.fits or asked.get("full") or one.space.name == asked.get("to")]
    is_short = sum(one.plants for one in offered) < wanted
    return MovePage(
        stay=stay,
        planting=planting,
        here=here,
        wanted=wanted,
        offered=offered,
        choices=_choices(to_choose, kind.name),
        full=len(rooms) - len(to_choose),
        next_name=after.name if after else "",
        kind_name=kind.name,
        due_on=end if after and end != NEVER else None,
        is_due=bool(after) and end <= today,
        room_from=_room_from(wanted, same_kind, partial(growth.coming, stay), today, own) if is_short else None,
    )


def _plants_asked(text: str, here: int) -> int:
    try:
        return whole_of(text, field="plants") if text.strip() else here
    except Refused:
        return here


def _choices(rooms: Sequence[RoomFor], first: str) -> list[Choice]:
    """By kind in walking order, the kind that comes next before the others."""
    kinds = dict.fromkeys(one.space.kind.name for one in rooms)
    in_order = sorted(kinds, key=lambda kind: kind != first)
    return [Choice(kind, [one for one in rooms if one.space.kind.name == kind]) for kind in in_order]


def _room_from(
    wanted: int, found: Sequence[SpaceRoom], coming: Callable[..., Coming], today: date, own: set[int]
) -> date | None:
    """The first Monday of the weeks ahead on which all of them would find room, if all goes as planned."""
    monday = monday_of(today) + WEEK
    for day in (monday + number * WEEK for number in range(LOOK_AHEAD)):
        later = rooms_when(found, partial(coming, day=day), without=own)
        if sum(one.fits for one in later) >= wanted:
            return day
    return None
