"""Moving plants: all or part of a stay into other spaces. A new stay remembers where its plants came from."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.growth import Place
from farmops.farm.days import day_in_words, farm_day
from farmops.growing.balance import (
    Here,
    balance_of,
    begin,
    check_day,
    check_plants,
    check_standing,
    lock_spaces,
)
from farmops.growing.models import Leaving, Planting, SpaceKind, Stage, Stay
from farmops.growing.pace import Pace, farm_place, paces_of
from farmops.growing.places import still_to_come
from farmops.growing.room_for import Coming, Into, check_room, coming_with, plans_of
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import NeedsYes, Refused


@dataclass(frozen=True, slots=True)
class Growth:
    """How a planting grows, and where: what tells in which stage its plants stand.

    Attributes
    ----------
    pace : Pace or None
        None: no schedule is known.
    """

    pace: Pace | None
    place: Place

    def stage_of(self, stay: Stay) -> Stage | None:
        return self.pace.stage_in(stay.space.kind, stay.stage_number) if self.pace else None

    def next_kind(self, stay: Stay) -> SpaceKind:
        """The kind of space that comes next; after the last stage, or without a schedule, the same again."""
        now = self.stage_of(stay)
        after = self.pace.after(now) if self.pace and now else None
        return after.kind if after else stay.space.kind

    def coming(self, stay: Stay, kind: SpaceKind, day: date, to_on: date | None = None) -> Coming:
        """How plants of a stay would stand in another kind of space: in a stage not before the one they are in."""
        now = self.stage_of(stay)
        coming = coming_with(self.pace, self.place, kind, day, after_stage=now.number if now else 0, to_on=to_on)
        if self.pace is None or now is None or coming.stage is not None:
            return coming
        end = to_on or self.pace.usual_end(now, day, self.place)
        return Coming(now, float(now.plants_per_place), day, end)


def growth_of(planting: Planting) -> Growth:
    return Growth(paces_of([planting]).get(planting.pk), farm_place())


def move_plants(
    *,
    saying: Saying,
    stay: Stay,
    into: Sequence[Into],
    over_full_because: str = "",
    yes: Collection[str] = frozenset(),
) -> Done:
    """Move plants of a stay into one space or several, on `saying.day`; what is not named waits where it is.

    Parameters
    ----------
    saying : Saying
    stay : Stay
        Where they stand.
    into : sequence of Into
        How many into which space.
    over_full_because : str
        Lets them in where they do not fit, and is shown wherever the space is.
    yes : collection of str
        Questions answered with yes: "other_kind".

    Raises
    ------
    Refused
        If not so many are left there, or they do not fit; `offer["plants"]` is how many would do.
    NeedsYes
        "other_kind": the variety's schedule knows no such kind of space.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        planting = begin(entry, saying, stay.planting_id)
        lock_spaces(stay.space_id, *(one.space.pk for one in into))
        here = stands_in(planting, stay)
        growth = growth_of(planting)
        check_move(saying, planting, here, into)
        check_kinds(planting, growth, here.stay, into, yes)
        coming = {one.space.pk: growth.coming(here.stay, one.space.kind, saying.day) for one in into}
        plans = [plan for plan in plans_of(planting) if plan.space_id in coming]
        full = check_room(
            into,
            coming,
            farm_day(saying.now),
            over_full_because=over_full_because,
            without={plan.pk for plan in plans},
        )
        arrived = [_arrived(entry, here.stay, one, coming[one.space.pk], full.get(one.space.pk, "")) for one in into]
        _leave(entry, here, arrived)
        retire_plans(entry, planting, growth.pace)
        left = here.plants - sum(one.plants for one in into)
        return said_of(planting, here.stay, arrived, left), {
            "stays": [one.pk for one in arrived],
            "planting": planting.pk,
            "left": left,
        }

    return do_once(saying, Job.MOVE, write)


def stands_in(planting: Planting, stay: Stay) -> Here:
    """The plants of a stay as they stand now."""
    fresh = Stay.objects.select_related("space__kind").get(pk=stay.pk)
    return Here(fresh, balance_of(planting).plants_in(fresh))


def check_move(saying: Saying, planting: Planting, here: Here, into: Sequence[Into]) -> None:
    """Everything that can be said against a move but the room; writes nothing."""
    check_standing(planting)
    if min((one.plants for one in into), default=0) < 1:
        raise Refused(_("Say how many: 1 or more."), field="plants")
    if len({one.space.pk for one in into}) < len(into):
        raise Refused(_("The same space stands there twice."), field="to_space")
    check_plants(sum(one.plants for one in into), here.plants, here.stay.space.name)
    if here.stay.space_id in {one.space.pk for one in into}:
        raise Refused(_("They stand in %(space)s already.") % {"space": here.stay.space.name}, field="to_space")
    came = _("They came into %(space)s") % {"space": here.stay.space.name}
    check_day(saying, (here.stay.from_on, came))


def check_kinds(planting: Planting, growth: Growth, stay: Stay, into: Sequence[Into], yes: Collection[str]) -> None:
    """Ask before plants go where their schedule has no stage."""
    if growth.pace is None or "other_kind" in yes:
        return
    for one in into:
        if one.space.kind_id != stay.space.kind_id and growth.pace.first_in(one.space.kind) is None:
            raise NeedsYes(
                _("%(variety)s has no stage in a %(kind)s by its schedule. Move them there all the same?")
                % {"variety": planting.variety.name, "kind": one.space.kind.name},
                question="other_kind",
                field="to_space",
            )


def retire_plans(entry: Entry, planting: Planting, pace: Pace | None) -> None:
    """Plans for which no more plants can come are over; an undo brings them back."""
    plans = plans_of(planting)
    if not plans:
        return
    balance = balance_of(planting)
    for plan in plans:
        if still_to_come(plan, balance, pace) == 0:
            change(entry, plan, is_over=True)


def said_of(planting: Planting, stay: Stay, arrived: Sequence[Stay], left: int) -> str:
    """What was done, in a line: 60 of P26-184 Genovese moved from S-1 to N-3, Mon 4 May 2026; 12 wait in S-1."""
    plants = sum(one.plants for one in arrived)
    to = ", ".join(one.space.name if len(arrived) == 1 else f"{one.space.name} {one.plants}" for one in arrived)
    said = _("%(plants)d of %(code)s %(variety)s moved from %(space)s to %(to)s, %(day)s") % {
        "plants": plants,
        "code": planting.code,
        "variety": planting.variety.name,
        "space": stay.space.name,
        "to": to,
        "day": day_in_words(arrived[0].from_on),
    }
    if not left:
        return said
    waits = ngettext("%(n)d waits in %(space)s", "%(n)d wait in %(space)s", left)
    return f"{said}; {waits % {'n': left, 'space': stay.space.name}}"


def _arrived(entry: Entry, stay: Stay, into: Into, coming: Coming, over_full_because: str) -> Stay:
    arrived = Stay(
        planting_id=stay.planting_id,
        space=into.space,
        stage_number=coming.stage.number if coming.stage else stay.stage_number,
        plants=into.plants,
        from_on=coming.from_on,
        came_from=stay,
        over_full_because=over_full_because,
        entry=entry,
    )
    save(arrived)
    return arrived


def _leave(entry: Entry, here: Here, arrived: Sequence[Stay]) -> None:
    for one in arrived:
        leaving = Leaving(
            planting_id=here.stay.planting_id,
            stay=here.stay,
            how=Leaving.How.MOVED,
            plants=one.plants,
            left_on=one.from_on,
            to_stay=one,
            entry=entry,
        )
        save(leaving)
    if sum(one.plants for one in arrived) == here.plants:
        change(entry, here.stay, is_over=True)
