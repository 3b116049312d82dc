"""Planned sowings: what is to be sown, on which day, and where it is to stand. Its number is given at once."""

from collections.abc import Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.days import day_in_words, farm_day
from farmops.growing.balance import begin, lock_spaces
from farmops.growing.ground import rooms_of
from farmops.growing.models import Planting, SeedLot, Space, Stay, Variety
from farmops.growing.pace import Pace, paces_of
from farmops.growing.plan_stay import clash_in_words
from farmops.growing.planting_codes import lock_codes, next_code
from farmops.growing.room_for import Into, plans_of
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.journal.undo import turn_back

MOST_PLANTS = 100_000  # of one sowing on a farm of benches and beds


def plan_sowing(
    *,
    saying: Saying,
    variety: Variety,
    plants: int,
    sow_on: date,
    seed_lot: SeedLot | None = None,
    into: Sequence[Into] = (),
    note: str = "",
) -> Done:
    """Plan a sowing; `answer["code"]` is its number, `answer["clashes"]` where it would not fit.

    Raises
    ------
    Refused
        If it has no plants, or the seed lot is of another variety.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        if saying.corrects is not None:
            turn_back(saying.corrects, entry)
        check_sowing(variety, plants, seed_lot, into)
        lock_spaces(*(one.space.pk for one in into))
        lock_codes()
        planting = planned_row(entry, variety, plants, sow_on, seed_lot, note)
        pace = paces_of([planting]).get(planting.pk)
        stays = planned_stays(entry, planting, into, sow_on, pace)
        words = _clashes(farm_day(saying.now), [one.space for one in into], {stay.pk for stay in stays})
        said = _("Planned %(code)s: %(what)s, to be sown %(day)s") % {
            "code": planting.code,
            "what": sown_in_words(variety, plants),
            "day": day_in_words(sow_on),
        }
        return ". ".join([said, *words]), {"planting": planting.pk, "code": planting.code, "clashes": words}

    return do_once(saying, Job.PLAN, write)


def give_up_sowing(*, saying: Saying, planting: Planting) -> Done:
    """Do not sow a planned planting after all; its planned stays are given up with it.

    Raises
    ------
    Refused
        If it is not planned any more.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        fresh = begin(entry, saying, planting.pk)
        check_planned(fresh)
        for plan in plans_of(fresh):
            change(entry, plan, is_over=True)
        change(entry, fresh, state=Planting.State.NOT_SOWN)
        said = _("Not sown: %(code)s, %(what)s") % {
            "code": fresh.code,
            "what": sown_in_words(fresh.variety, fresh.plants),
        }
        return said, {"planting": fresh.pk}

    return do_once(saying, Job.PLAN, write)


def check_planned(planting: Planting) -> None:
    if planting.state == Planting.State.DONE:
        raise Refused(
            _("%(code)s was sown on %(day)s already.") % {"code": planting.code, "day": day_in_words(planting.sown_on)}
        )
    if planting.state == Planting.State.NOT_SOWN:
        raise Refused(_("%(code)s was given up. Take that back first, or sow anew.") % {"code": planting.code})


def check_sowing(variety: Variety, plants: int, seed_lot: SeedLot | None, into: Sequence[Into]) -> None:
    """Everything that can be said against a sowing but the room; writes nothing."""
    if plants < 1:
        raise Refused(_("Say how many: 1 or more."), field="parts")
    if plants > MOST_PLANTS:
        raise Refused(
            _("More than %(most)d plants at once: is there a figure too many?") % {"most": MOST_PLANTS}, field="parts"
        )
    if seed_lot is not None and seed_lot.variety_id != variety.pk:
        raise Refused(
            _("Seed lot %(lot)s is not of %(variety)s.") % {"lot": seed_lot.name, "variety": variety.name},
            field="seed_lot",
        )
    if len({one.space.pk for one in into}) < len(into):
        raise Refused(_("The same space stands there twice."), field="to_space")
    placed = sum(one.plants for one in into)
    if into and (placed != plants or min(one.plants for one in into) < 1):
        raise Refused(
            _("%(placed)d plants are placed, %(plants)d are sown. Place all of them, or none.")
            % {"placed": placed, "plants": plants},
            field="to_space",
        )


def planned_row(
    entry: Entry, variety: Variety, plants: int, sow_on: date, seed_lot: SeedLot | None, note: str = ""
) -> Planting:
    """A planned planting with its number; an undo makes it one that is not sown."""
    planting = Planting(
        code=next_code(sow_on),
        variety=variety,
        state=Planting.State.NOT_SOWN,
        sown_on=sow_on,
        plants=plants,
        seed_lot=seed_lot,
        note=note,
        entry=entry,
    )
    save(planting)
    change(entry, planting, state=Planting.State.PLANNED)
    return planting


def planned_stays(entry: Entry, planting: Planting, into: Sequence[Into], on: date, pace: Pace | None) -> list[Stay]:
    """Where it is to be sown."""
    stays = [
        Stay(
            planting=planting,
            space=one.space,
            stage_number=first_stage(pace),
            plants=one.plants,
            from_on=on,
            state=Stay.State.PLANNED,
            entry=entry,
        )
        for one in into
    ]
    save(*stays)
    return stays


def first_stage(pace: Pace | None) -> int | None:
    return pace.stages[0].number if pace is not None and pace.stages else None


def sown_in_words(variety: Variety, plants: int) -> str:
    """3 × half tray sweet basil, 108 plants."""
    parts, over = divmod(plants, variety.part_plants)
    counted = ngettext("%(n)d plant", "%(n)d plants", plants) % {"n": plants}
    if parts == 0 or over:
        return _("%(variety)s, %(plants)s") % {"variety": variety.name, "plants": counted}
    return _("%(n)d × %(part)s %(variety)s, %(plants)s") % {
        "n": parts,
        "part": variety.part,
        "variety": variety.name,
        "plants": counted,
    }


def _clashes(today: date, spaces: Sequence[Space], stays: set[int]) -> list[str]:
    found = rooms_of(spaces, today) if spaces else {}
    clashes = [clash for space in spaces for clash in found[space.pk].clashes(today)]
    return [clash_in_words(clash) for clash in clashes if stays & {stay.pk for stay in clash.stays}]
