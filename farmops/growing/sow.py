"""Sowing: from a plan or anew. The planting gets its number, its seed lot and the spaces its trays stand in."""

from collections.abc import Mapping, Sequence
from datetime import timedelta

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words, farm_day
from farmops.growing.balance import begin, check_day, lock_plantings, lock_spaces, plantings_of
from farmops.growing.models import Planting, Schedule, SeedLot, Stay, Variety
from farmops.growing.pace import Pace, farm_place, paces_of
from farmops.growing.plan_sowing import (
    check_planned,
    check_sowing,
    first_stage,
    planned_row,
    planned_stays,
    sown_in_words,
)
from farmops.growing.planting_codes import lock_codes, next_code
from farmops.growing.room_for import Into, check_room, coming_with, plans_of
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.journal.undo import turn_back

A_YEAR = timedelta(days=366)


def sow(
    *,
    saying: Saying,
    variety: Variety,
    plants: int,
    planned: Planting | None = None,
    seed_lot: SeedLot | None = None,
    into: Sequence[Into] = (),
    over_full_because: str = "",
) -> Done:
    """Note a sowing on `saying.day`.

    Parameters
    ----------
    saying : Saying
    variety : Variety
        Of the planned planting where there is one.
    plants : int, >= 1
        Trays times the plants of one. Fewer than planned: the rest stays planned, under a number of its own.
    planned : Planting or None
        The plan that is carried out; it keeps its number. None: a sowing nobody planned.
    seed_lot : SeedLot or None
        None: not known.
    into : sequence of Into
        Where the trays stand; none: nobody said.
    over_full_because : str
        Lets them in where they do not fit.

    Returns
    -------
    Done
        `answer["code"]` is the number for the trays, `answer["rest"]` the plants that remain planned.

    Raises
    ------
    Refused
        If it was sown already, the day lies ahead, the seed lot is of another variety, or there is no room.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        planting = _begin(entry, saying, planned, variety)
        check_day(saying)
        check_not_long_ago(saying)
        check_sowing(variety, plants, seed_lot, into)
        lock_spaces(*(one.space.pk for one in into))
        plans = plans_of(planting) if planned is not None else []
        rest = max(planting.plants - plants, 0) if planned is not None else 0
        old_day, old_plants = planting.sown_on, planting.plants
        lot = seed_lot or (planting.seed_lot if planned is not None else None)
        pace = _sown(entry, saying, planting, plants, lot, variety)
        full = _room(saying, planting, pace, into, over_full_because, plans)
        save(*(_stay(entry, planting, one, pace, full.get(one.space.pk, "")) for one in into))
        first = [plan for plan in plans if plan.stage_number in {None, first_stage(pace)}]
        for plan in first:
            change(entry, plan, is_over=True)
        said = _said(planting, variety, plants, into)
        answer = {"planting": planting.pk, "code": planting.code, "rest": rest}
        if planned is not None:
            change(entry, planting, planned_on=old_day, planned_plants=old_plants)
        if not rest:
            return said, answer
        left = planned_row(entry, variety, rest, old_day, planting.seed_lot)
        planned_stays(entry, left, _unused(first, into, rest), old_day, paces_of([left]).get(left.pk))
        more = _("still to sow: %(what)s, %(code)s") % {"what": sown_in_words(variety, rest), "code": left.code}
        return f"{said}; {more}", {**answer, "rest_code": left.code}

    return do_once(saying, Job.SOW, write)


def check_not_long_ago(saying: Saying) -> None:
    """A sowing is noted within a year; a day before that is a slip in its year, or belongs into a sheet."""
    if farm_day(saying.now) - saying.day > A_YEAR:
        raise Refused(
            _("%(day)s is more than a year ago. Put the year right; what is older is read in from a sheet.")
            % {"day": day_in_words(saying.day)},
            field="day",
        )


def seed_lots_of(variety: Variety) -> list[SeedLot]:
    """Seed of a variety, the likeliest first: with seed left, the newest. One query."""
    lots = SeedLot.objects.filter(variety=variety)
    return sorted(lots, key=lambda lot: (lot.seeds != 0, str(lot.received_on or ""), lot.pk), reverse=True)


def _begin(entry: Entry, saying: Saying, planned: Planting | None, variety: Variety) -> Planting:
    """The planned planting, the one of the sowing that is corrected, or a new row."""
    if planned is not None:
        planting = begin(entry, saying, planned.pk)
        lock_codes()
        check_planned(planting)
        return planting
    before = None
    if saying.corrects is not None:
        lock_plantings(*plantings_of(saying.corrects))
        turn_back(saying.corrects, entry)
        before = Planting.objects.filter(entry=saying.corrects, pk=saying.corrects.answer.get("planting")).first()
    lock_codes()
    if before is not None:
        return before
    planting = Planting(
        code=next_code(saying.day),
        variety=variety,
        state=Planting.State.NOT_SOWN,
        sown_on=saying.day,
        plants=1,
        entry=entry,
    )
    return planting


def _sown(
    entry: Entry, saying: Saying, planting: Planting, plants: int, seed_lot: SeedLot | None, variety: Variety
) -> Pace | None:
    """Make it sown; what is stored first is "not sown", to which an undo goes back."""
    if planting.pk is None:
        planting.plants = plants
        save(planting)
    facts = {"variety": variety, "sown_on": saying.day, "plants": plants, "seed_lot": seed_lot}
    change(entry, planting, state=Planting.State.DONE, **facts)
    pace = paces_of([planting]).get(planting.pk)
    schedule: Schedule | None = pace.schedule if pace is not None else None
    change(entry, planting, schedule=schedule)
    return pace


def _room(
    saying: Saying,
    planting: Planting,
    pace: Pace | None,
    into: Sequence[Into],
    over_full_because: str,
    plans: Sequence[Stay],
) -> dict[int, str]:
    if not into:
        return {}
    place = farm_place()
    coming = {one.space.pk: coming_with(pace, place, one.space.kind, saying.day) for one in into}
    return check_room(
        into,
        coming,
        farm_day(saying.now),
        over_full_because=over_full_because,
        without={plan.pk for plan in plans},
    )


def _stay(entry: Entry, planting: Planting, into: Into, pace: Pace | None, over_full_because: str) -> Stay:
    stage = pace.first_in(into.space.kind) if pace is not None else None
    return Stay(
        planting=planting,
        space=into.space,
        stage_number=stage.number if stage is not None else first_stage(pace),
        plants=into.plants,
        from_on=planting.sown_on,
        over_full_because=over_full_because,
        entry=entry,
    )


def _unused(plans: Sequence[Stay], into: Sequence[Into], rest: int) -> list[Into]:
    """Of the spaces planned for the first stage, what is left for the trays that are still to be sown."""
    used = {one.space.pk: one.plants for one in into}
    found: list[Into] = []
    for plan in plans:
        plants = min(max(plan.plants - used.get(plan.space_id, 0), 0), rest)
        if plants and plan.space_id not in {one.space.pk for one in found}:
            found.append(Into(plan.space, plants))
            rest -= plants
    return found


def _said(planting: Planting, variety: Variety, plants: int, into: Sequence[Into]) -> str:
    """Sown P26-185: 3 × half tray sweet basil, 108 plants, in S-1, Mon 4 May 2026."""
    said = _("Sown %(code)s: %(what)s") % {"code": planting.code, "what": sown_in_words(variety, plants)}
    where = ", ".join(one.space.name if len(into) == 1 else f"{one.space.name} {one.plants}" for one in into)
    return ", ".join([said, *([_("in %(space)s") % {"space": where}] if where else []), day_in_words(planting.sown_on)])
