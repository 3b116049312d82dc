"""Versions of a variety's schedule: a new one from a day on, or one put right by which nothing was sown yet.

What was sown keeps the version of its day; a version that it follows is never altered.
"""

from collections.abc import Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _

from farmops.core.quantities import is_mass
from farmops.farm.days import day_in_words
from farmops.farm.row_moves import bring_in, take_out
from farmops.growing.models import ItemPart, Planting, Schedule, SpaceKind, Stage, Variety
from farmops.growing.typed_schedule import HarvestTyped, StageTyped, harvest_of, stages_of
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused

Answer = tuple[str, Mapping[str, object]]


def begin_schedule(
    *,
    saying: Saying,
    variety: Variety,
    stages: Sequence[StageTyped],
    harvest: HarvestTyped,
    from_on: date | None = None,
) -> Done:
    """A new version from a day on; a variety's first holds from the beginning.

    Raises
    ------
    Refused
        If a figure cannot be, a version begins on that day, or something was sown since by the one before.
    """

    def write(entry: Entry) -> Answer:
        versions = _versions(variety)
        facts, rows = _read(stages, harvest)
        _check_unit(variety, str(facts["unit"]), versions)
        first = (from_on or saying.day) if versions else None
        _check_day(versions, first)
        fresh = Schedule(variety=variety, valid_from=first, **facts)
        bring_in(entry, fresh)
        bring_in(entry, *(Stage(schedule=fresh, **row) for row in rows))
        for planting in _of_its_days(versions, first, variety):
            change(entry, planting, schedule=fresh)
        return _said(variety, rows, first), {"schedule": fresh.pk}

    return do_once(saying, Job.SET, write)


def put_schedule_right(
    *, saying: Saying, schedule: Schedule, stages: Sequence[StageTyped], harvest: HarvestTyped
) -> Done:
    """Alter a version by which nothing was sown yet; old and new are noted.

    Raises
    ------
    Refused
        If a figure cannot be, or something was sown by it.
    """

    def write(entry: Entry) -> Answer:
        versions = _versions(schedule.variety)
        fresh = next(one for one in versions if one.pk == schedule.pk)
        sown = Planting.objects.sown().filter(schedule=fresh).order_by("pk").first()
        if sown is not None:
            words = _("%(code)s was sown by this version and keeps it. Begin a new version from a day on.")
            raise Refused(words % {"code": sown.code})
        facts, rows = _read(stages, harvest)
        _check_unit(schedule.variety, str(facts["unit"]), [one for one in versions if one.pk != fresh.pk])
        change(entry, fresh, **facts)
        there = {stage.number: stage for stage in Stage.objects.filter(schedule=fresh).order_by("number")}
        for row in rows:
            stage = there.pop(int(str(row["number"])), None)
            if stage is None:
                bring_in(entry, Stage(schedule=fresh, **row))
            else:
                change(entry, stage, **row)
        take_out(entry, *there.values())
        said = _("%(what)s, put right") % {"what": _said(fresh.variety, rows, fresh.valid_from)}
        return said, {"schedule": fresh.pk}

    return do_once(saying, Job.SET, write)


def _read(stages: Sequence[StageTyped], harvest: HarvestTyped) -> tuple[dict[str, object], list[dict[str, object]]]:
    kinds = {kind.name: kind for kind in SpaceKind.objects.all()}
    return harvest_of(harvest), stages_of(stages, kinds)


def _versions(variety: Variety) -> list[Schedule]:
    """All versions, earliest first, under the variety's lock."""
    Variety.objects.select_for_update(no_key=True).get(pk=variety.pk)
    found = Schedule.objects.filter(variety=variety).select_related("variety")
    return sorted(found, key=lambda one: one.valid_from or date.min)


def _check_unit(variety: Variety, unit: str, others: Sequence[Schedule]) -> None:
    """Picks are counted in one kind of unit for good, and items say what they contain in it."""
    said = {"variety": variety.name, "unit": unit}
    for other in others:
        if not same_kind(unit, other.unit):
            words = _("%(variety)s is cut in %(other)s so far, which cannot be added to %(unit)s.")
            raise Refused(words % {**said, "other": other.unit}, field="unit")
    for part in ItemPart.objects.filter(variety=variety).select_related("item").order_by("pk"):
        contains = part.item.contains_unit or part.item.unit
        if not same_kind(unit, contains):
            words = _("%(item)s is made of %(variety)s and contains so many %(other)s, not %(unit)s.")
            raise Refused(words % {**said, "item": part.item.name, "other": contains}, field="unit")


def same_kind(one: str, other: str) -> bool:
    """Whether amounts in two units, by their names, can be added: both weights, or counts of the same thing."""
    return one == other or (is_mass(one) and is_mass(other))


def _check_day(versions: Sequence[Schedule], first: date | None) -> None:
    if any(one.valid_from == first for one in versions):
        words = _("A version begins on %(day)s already. Put that one right, or choose another day.")
        raise Refused(words % {"day": day_in_words(first) if first else ""}, field="from_on")


def _of_its_days(versions: Sequence[Schedule], first: date | None, variety: Variety) -> list[Planting]:
    """Planned sowings of its days that name another version; refused where one was sown by that."""
    if first is None:
        return []
    next_from = min((one.valid_from for one in versions if one.valid_from and one.valid_from > first), default=None)
    named = Planting.objects.filter(variety=variety, sown_on__gte=first, schedule__isnull=False)
    named = named.exclude(state=Planting.State.NOT_SOWN).order_by("sown_on", "pk")
    within = [one for one in named.select_for_update(no_key=True) if next_from is None or one.sown_on < next_from]
    sown = [one for one in within if one.state == Planting.State.DONE]
    if sown:
        words = _("%(code)s was sown on %(day)s by the version before and keeps it. Choose a later day.")
        raise Refused(words % {"code": sown[-1].code, "day": day_in_words(sown[-1].sown_on)}, field="from_on")
    return within


def _said(variety: Variety, rows: Sequence[Mapping[str, object]], first: date | None) -> str:
    words = {
        "variety": variety.name,
        "stages": " → ".join(f"{row['name']} {row['days']:f}" for row in rows),
        "when": _("from %(day)s on") % {"day": day_in_words(first)} if first else _("from the beginning"),
    }
    return _("Schedule of %(variety)s %(when)s: %(stages)s days") % words
