"""Plantings of the tables and all that was noted of them, as rows.

A stay of the tables says how many came in, and its leavings how and when they went. A row of stays has one last day:
so plants that moved on together are a row of their own, and what was lost or cut stands in the last row of its stay,
as it would on paper; losses and picks tell of it besides.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from farmops.core.quantities import is_mass
from farmops.farm.days import farm_day, farm_zone, minute_of
from farmops.growing.balance import Balance, balance_from
from farmops.growing.models import Leaving, Planting, Stay, Walk
from farmops.harvest.models import Pick
from farmops.planning import rows
from farmops.planning.stored import amount_of, grams_of, key_of
from farmops.waiting.models import DoNotCut, Treatment

How = Leaving.How
TOGETHER = (How.MOVED, How.CLEARED, How.NOT_NOTED)  # these end a row of their own; lost and cut plants do not

# No row tells these of an entry, and to read its answer takes longest; of a stay that something points to, only where.
UNREAD = tuple(
    f"entry__{name}"
    for name in ("body_hash", "job", "phone", "said_at", "received_at", "corrects", "is_from_memory", "said", "answer")
)
_BUT_WHERE = ("planting", "stage_number", "plants", "from_on", "planned_to_on", "places", "came_from", "state",
              "over_full_because", "is_over", "entry")  # fmt: skip
UNREAD_OF = {pointing: tuple(f"{pointing}__{name}" for name in _BUT_WHERE) for pointing in ("stay", "came_from")}


@dataclass(frozen=True, slots=True)
class Records:
    """Rows of what grows."""

    plantings: tuple[rows.Planting, ...]
    stays: tuple[rows.Stay, ...]
    losses: tuple[rows.Loss, ...]
    walks: tuple[rows.Walk, ...]
    picks: tuple[rows.Pick, ...]
    waiting: tuple[rows.Waiting, ...]
    balances: Mapping[str, Balance]  # by the planting's code
    kinds: Mapping[str, str]  # of each space that anything stood in


def planting_rows(
    since: date | None = None, *, only: Q | None = None, walks: Sequence[rows.Walk] | None = None
) -> Records:
    """Plantings sown since a day, or standing then, with stays, losses, walks, picks and waits. One query a table.

    `only` keeps those that it names; `walks`, where they were read already, are not asked for again.
    """
    which = Planting.objects.filter(_since(since)).filter(only or Q())
    beside = which.select_related("variety", "seed_lot", "schedule", "entry").defer(*UNREAD)
    plantings = {one.pk: one for one in beside.order_by("pk")}
    codes = {key: one.code for key, one in plantings.items()}
    keys = which.values("pk")
    leavings: dict[int, list[Leaving]] = defaultdict(list)
    of_planting: dict[int, list[Leaving]] = defaultdict(list)
    losses = []
    left = (
        Leaving.objects.live()
        .filter(planting__in=keys)
        .select_related("stay__space", "entry")
        .defer(*UNREAD, *UNREAD_OF["stay"])
    )
    for leaving in left.order_by("pk"):
        of_planting[leaving.planting_id].append(leaving)
        if leaving.stay_id is not None:
            leavings[leaving.stay_id].append(leaving)
        if leaving.how == How.LOST:
            losses.append(_loss(leaving, codes[leaving.planting_id]))
    stays = list(
        Stay.objects.live()
        .filter(planting__in=keys)
        .exclude(state=Stay.State.PLANNED, is_over=True)
        .select_related("space__kind", "came_from__space", "entry")
        .defer(*UNREAD, *UNREAD_OF["came_from"])
        .order_by("pk")
    )
    if walks is None:
        seen = Walk.objects.live().filter(planting__in=keys).select_related("stay__space", "entry__by")
        walks = [_walk(one, codes[one.planting_id]) for one in seen.defer(*UNREAD, *UNREAD_OF["stay"]).order_by("pk")]
    cut = Pick.objects.live().filter(planting__in=keys).select_related("stay__space", "lot", "entry__by")
    picks = cut.defer(*UNREAD, *UNREAD_OF["stay"]).order_by("pk")
    treatments = Treatment.objects.live().select_related("planting", "space", "entry__by").order_by("pk")
    return Records(
        plantings=tuple(_planting(one) for one in plantings.values()),
        stays=tuple(row for one in stays for row in stay_rows(one, codes[one.planting_id], leavings[one.pk])),
        losses=tuple(losses),
        walks=tuple(walks),
        picks=tuple(_pick(one, plantings[one.planting_id]) for one in picks),
        waiting=(
            *(_treated(one) for one in treatments if one.planting_id is None or one.planting_id in codes),
            *_waits(codes, stays, which),
        ),
        balances=_balances(plantings.values(), stays, of_planting),
        kinds={one.space.name: one.space.kind.name for one in stays},
    )


def _balances(
    plantings: Iterable[Planting], stays: Sequence[Stay], leavings: Mapping[int, Sequence[Leaving]]
) -> dict[str, Balance]:
    done: dict[int, list[Stay]] = defaultdict(list)
    for stay in sorted(stays, key=lambda stay: (stay.from_on, stay.pk)):
        if stay.state == Stay.State.DONE:
            done[stay.planting_id].append(stay)
    return {one.code: balance_from(one.plants, done[one.pk], leavings.get(one.pk, ())) for one in plantings}


def _since(since: date | None) -> Q:
    is_there = ~Q(state=Planting.State.NOT_SOWN)
    if since is None:
        return is_there
    return is_there & (Q(sown_on__gte=since) | Q(cleared_on=None) | Q(cleared_on__gte=since))


def _planting(one: Planting) -> rows.Planting:
    return rows.Planting(
        key=key_of(one.entry),
        planting=one.code,
        variety=one.variety.name,
        sown=one.sown_on,
        plants=one.plants,
        seed_lot=one.seed_lot.name if one.seed_lot else "",
        state=one.state,
        cleared=one.cleared_on,
        note=one.note,
        planned=one.planned_on,
        planned_plants=one.planned_plants,
    )


def stay_rows(stay: Stay, planting: str, leavings: Sequence[Leaving]) -> list[rows.Stay]:
    """One row for each day on which plants went on together, and one for those that stand or were used up."""
    planned_to = stay.planned_to_on if stay.state == Stay.State.PLANNED else None
    gone = [(one.how, one.plants, one.left_on) for one in leavings]
    return [_stay(stay, planting, *part) for part in parts_of(stay.plants, stay.from_on, gone, planned_to)]


def parts_of(
    plants: int, from_on: date, leavings: Iterable[tuple[str, int, date]], planned_to: date | None = None
) -> list[tuple[int, date | None, bool]]:
    """Plants, their last day, and whether what was left of them was cleared then; leavings: how, plants, day."""
    gone: dict[date, int] = defaultdict(int)
    cleared: set[date | None] = set()
    used_up, used_on = 0, from_on
    for how, some, day in leavings:
        if how in TOGETHER:
            gone[day] += some
        else:
            used_up += some
            used_on = max(used_on, day)
        if how == How.CLEARED:
            cleared.add(day)
    parts: list[tuple[int, date | None]] = [(some, day) for day, some in sorted(gone.items())]
    rest = plants - sum(gone.values())
    if rest > used_up:
        parts.append((rest, planned_to))
    elif parts and rest > 0 and used_on <= max(gone):
        some, last = parts[-1]
        parts[-1] = (some + rest, last)
    elif rest > 0:
        parts.append((rest, used_on))
    return [(some, last, last in cleared) for some, last in parts]


def _stay(stay: Stay, planting: str, plants: int, to_day: date | None, is_cleared: bool) -> rows.Stay:
    places = stay.places
    return rows.Stay(
        key=key_of(stay.entry),
        planting=planting,
        space=stay.space.name,
        plants=plants,
        from_day=stay.from_on,
        to_day=to_day,
        stage=stay.stage_number,
        places=places if places is None or plants == stay.plants else places * plants / stay.plants,
        moved_from=stay.came_from.space.name if stay.came_from else "",
        state=stay.state,
        over_full_because=stay.over_full_because,
        cleared=is_cleared,
    )


def _loss(one: Leaving, planting: str) -> rows.Loss:
    space = one.stay.space.name if one.stay else ""
    return rows.Loss(
        key=key_of(one.entry), planting=planting, day=one.left_on, plants=one.plants, space=space, cause=one.cause
    )


def _walk(one: Walk, planting: str) -> rows.Walk:
    late = Decimal(0) if one.is_as_planned and one.days_late is None and one.ready is None else one.days_late
    return rows.Walk(
        key=key_of(one.entry),
        planting=planting,
        day=one.seen_on,
        by=one.by_name or str(one.entry.by or ""),
        ready=one.ready,
        days_late=late,
        finished="yes" if one.is_finished else "",
        space=one.stay.space.name if one.stay else "",
    )


def _pick(one: Pick, planting: Planting) -> rows.Pick:
    """In the kind of unit its variety is cut by; where both were noted, the other stands beside it."""
    by_weight = planting.schedule is None or is_mass(planting.schedule.unit)
    weighed = one.mass_ng is not None and (by_weight or one.count is None)
    unit = _weight_unit(one) if weighed else one.count_unit
    amount = amount_of((one.mass_ng if weighed else one.count) or 0, unit)
    return rows.Pick(
        key=key_of(one.entry),
        planting=planting.code,
        day=one.picked_on,
        amount=amount,
        unit=unit,
        space=one.stay.space.name if one.stay else "",
        cutting=one.cutting,
        time=one.minute,
        by=one.by_name or str(one.entry.by or ""),
        typed=one.typed,
        **_other_figure(one, weighed=weighed),
        gross_g=grams_of(one.gross_ng),
        crates=one.crates,
        tare_g=grams_of(one.crate_tare_ng),
        culled=one.culled_count,
        culled_g=grams_of(one.culled_ng),
        before_ready="yes" if one.was_before_ready else "",
        lot=one.lot.code if one.lot else "",
    )


def _other_figure(one: Pick, *, weighed: bool) -> dict[str, Any]:
    """The count beside a weight, or the weight beside a count."""
    if weighed and one.count is not None:
        return {"also": Decimal(one.count), "also_unit": one.count_unit}
    if not weighed and one.mass_ng is not None:
        return {"also": amount_of(one.mass_ng, _weight_unit(one)), "also_unit": _weight_unit(one)}
    return {}


def _weight_unit(one: Pick) -> str:
    return one.typed_unit if is_mass(one.typed_unit) else "lb"


def _treated(one: Treatment) -> rows.Waiting:
    return rows.Waiting(
        key=key_of(one.entry),
        planting=one.planting.code if one.planting else "",
        space=one.space.name if one.space else "",
        ended=one.ended_on,
        ended_at=one.ended_minute,
        product=one.product,
        job=one.how,
        harvest_days=one.harvest_days,
        entry_hours=one.entry_hours,
        by=one.by_name or str(one.entry.by or ""),
    )


def _waits(codes: dict[int, str], stays: Iterable[Stay], which: QuerySet[Planting]) -> Iterable[rows.Waiting]:
    """The grower's own waits: one for a planting, or one for each stay to which the plants of a stay have gone."""
    after: dict[int, list[Stay]] = defaultdict(list)
    for stay in stays:
        after[stay.pk].append(stay)
        if stay.came_from_id is not None:
            after[stay.came_from_id].append(stay)
    zone = farm_zone()
    waits = DoNotCut.objects.in_force().filter(planting__in=which.values("pk")).select_related("entry__by")
    for wait in waits.order_by("pk"):
        if wait.stay_id is None:
            yield _wait(wait, codes[wait.planting_id], "", wait.entry.farm_day, zone)
            continue
        said_on = wait.entry.farm_day
        for stay in _all_after(wait.stay_id, after, said_on):
            yield _wait(wait, codes[wait.planting_id], stay.space.name, max(stay.from_on, said_on), zone)


def _all_after(first: int, after: Mapping[int, Sequence[Stay]], since: date) -> list[Stay]:
    """A stay, and where its plants went since a day."""
    found: dict[int, Stay] = {}
    fresh = [first]
    while fresh:
        for stay in after[fresh.pop()]:
            if stay.pk not in found and (stay.pk == first or stay.from_on >= since):
                found[stay.pk] = stay
                fresh.append(stay.pk)
    return list(found.values())


def _wait(one: DoNotCut, planting: str, space: str, since: date, zone: ZoneInfo) -> rows.Waiting:
    return rows.Waiting(
        key=key_of(one.entry),
        planting=planting,
        space=space,
        ended=since,
        product=one.reason,
        reason=one.reason,
        by=str(one.entry.by or ""),
        not_before=None if one.before is None else farm_day(one.before, zone),
        not_before_at=None if one.before is None else minute_of(one.before, zone),
    )
