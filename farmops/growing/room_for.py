"""Where plants find room on every day ahead, how they are spread, and what is said where they do not fit."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core import room
from farmops.core.growth import Place
from farmops.growing.ground import rooms_of
from farmops.growing.models import Planting, Space, SpaceKind, Stage, Stay
from farmops.growing.natural_order import walking_key
from farmops.growing.pace import Pace
from farmops.growing.places import HARDLY, Narrowest, SpaceRoom, places_in_words, places_text, plants_that_fit
from farmops.journal.refusal import Refused


@dataclass(frozen=True, slots=True)
class Coming:
    """Plants that would come into a stage on a day, how densely, and until when they would stand there.

    Attributes
    ----------
    per_place : float
        Plants on one place. [-]
    """

    stage: Stage | None
    per_place: float
    from_on: date
    to_on: date


@dataclass(frozen=True, slots=True)
class Into:
    """So many plants for one space."""

    space: Space
    plants: int


@dataclass(frozen=True, slots=True)
class RoomFor:
    """A space, how many plants find room in it on every one of their days, and its tightest day."""

    space: Space
    fits: int
    tight: Narrowest


def coming_with(
    pace: Pace | None, place: Place, kind: SpaceKind, from_on: date, *, after_stage: int = 0, to_on: date | None = None
) -> Coming:
    """In which stage of its schedule plants stand in a kind of space, and until when."""
    stage = (pace.first_in(kind, after_stage) or pace.first_in(kind)) if pace is not None else None
    if pace is None or stage is None:
        return Coming(None, 1.0, from_on, to_on or room.NEVER)
    return Coming(stage, float(stage.plants_per_place), from_on, to_on or pace.usual_end(stage, from_on, place))


def room_for(kind: SpaceKind, coming: Coming, today: date, *, without: Collection[int] = ()) -> list[RoomFor]:
    """Every space of a kind that is in use when the plants come, in walking order, with how many find room.

    Parameters
    ----------
    kind : SpaceKind
    coming : Coming
        How they would stand there; every day from its first to the day before its last is looked at.
    today : date
    without : collection of int
        Stays that are not counted: the plants' own plans.
    """
    spaces = sorted(Space.objects.filter(kind=kind).select_related("kind"), key=walking_key)
    found = rooms_of(spaces, today)
    return rooms_when([found[space.pk] for space in spaces], lambda _kind: coming, without=without)


def rooms_when(
    found: Iterable[SpaceRoom], coming_of: Callable[[SpaceKind], Coming], *, without: Collection[int] = ()
) -> list[RoomFor]:
    """As `room_for`, from rooms that are known; `coming_of` tells how the plants would stand in each kind of space."""
    coming: dict[int, Coming] = {}
    rooms = []
    for one in found:
        kind = one.space.kind
        if kind.pk not in coming:
            coming[kind.pk] = coming_of(kind)
        if one.places(coming[kind.pk].from_on) > 0 or one.occupants:
            rooms.append(_room(one, coming[kind.pk], without))
    return rooms


def _room(found: SpaceRoom, coming: Coming, without: Collection[int] = ()) -> RoomFor:
    tight = found.narrowest(coming.from_on, coming.to_on, without)
    return RoomFor(found.space, plants_that_fit(tight.free, coming.per_place), tight)


def spread(plants: int, rooms: Iterable[RoomFor], first: Collection[int] = ()) -> tuple[Into, ...]:
    """As many of the plants as find room, over as few spaces as may be; the rest waits. In walking order.

    Parameters
    ----------
    plants : int
    rooms : iterable of RoomFor
        In walking order.
    first : collection of int
        Spaces to fill before others: those they are planned into.
    """
    left, chosen = plants, []
    open_rooms = [one for one in rooms if one.fits > 0]
    in_order = {one.space.pk: number for number, one in enumerate(open_rooms)}
    while left > 0 and open_rooms:
        wished = [one for one in open_rooms if one.space.pk in first] or open_rooms
        all_in = [one for one in wished if one.fits >= left]
        best = min(all_in, key=lambda one: one.fits) if all_in else max(wished, key=lambda one: one.fits)
        chosen.append(Into(best.space, min(best.fits, left)))
        left -= chosen[-1].plants
        open_rooms.remove(best)
    return tuple(sorted(chosen, key=lambda into: in_order[into.space.pk]))


def check_room(
    into: Sequence[Into],
    coming: Mapping[int, Coming],
    today: date,
    *,
    over_full_because: str = "",
    without: Collection[int] = (),
) -> dict[int, str]:
    """Refuse what does not fit, with the numbers and the offer of what does.

    Parameters
    ----------
    into : sequence of Into
    coming : mapping of space key to Coming
    today : date
        Days before it are facts, and not looked at.
    over_full_because : str
        Lets them in where they do not fit.
    without : collection of int
        Stays that are not counted.

    Returns
    -------
    dict of int to str
        By space, the reason for being over-full where it was needed.

    Raises
    ------
    Refused
        With `offer["plants"]`, how many would fit in all, and `offer["into"]`, by space.
    """
    found = rooms_of([one.space for one in into], today)
    full: dict[int, str] = {}
    fits: dict[int, int] = {}
    words: list[str] = []
    for one in into:
        here = coming[one.space.pk]
        tight = found[one.space.pk].narrowest(max(here.from_on, today), here.to_on, without)
        fits[one.space.pk] = min(plants_that_fit(tight.free, here.per_place), one.plants)
        if one.plants / here.per_place > tight.free + HARDLY:
            full[one.space.pk] = over_full_because.strip()
            words.append(_too_full(one, one.plants / here.per_place, tight, fits[one.space.pk]))
    if words and not over_full_because.strip():
        offered = {one.space.name: fits[one.space.pk] for one in into if fits[one.space.pk]}
        raise Refused(" ".join(words), field="plants", offer={"plants": sum(fits.values()), "into": offered})
    return full


def _too_full(into: Into, needed: float, tight: Narrowest, fits: int) -> str:
    numbers = {
        "space": into.space.name,
        "places": places_in_words(tight.places),
        "taken": places_text(tight.taken),
        "free": places_text(max(tight.free, 0.0)),
        "needed": places_text(needed),
        "day": date_format(tight.day, "D j M"),
        "fits": fits,
    }
    if fits == 0:
        return (
            _(
                "No room in %(space)s: %(places)s, %(taken)s taken on %(day)s, %(needed)s needed. "
                "Choose another, or say why it may be over-full."
            )
            % numbers
        )
    return (
        ngettext(
            "%(space)s has %(places)s, %(taken)s taken on %(day)s: %(free)s free, %(needed)s needed. "
            "%(fits)d plant fits.",
            "%(space)s has %(places)s, %(taken)s taken on %(day)s: %(free)s free, %(needed)s needed. "
            "%(fits)d plants fit.",
            fits,
        )
        % numbers
    )


def plans_of(planting: Planting, kind: SpaceKind | None = None) -> list[Stay]:
    """A planting's own planned stays that are not over, in order of their days; of one kind of space, or all."""
    rows = Stay.objects.live().filter(planting=planting, state=Stay.State.PLANNED, is_over=False)
    if kind is not None:
        rows = rows.filter(space__kind=kind)
    return sorted(rows.select_related("planting", "space__kind"), key=lambda stay: (stay.from_on, stay.pk))
