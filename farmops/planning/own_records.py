"""Of the plantings of a year and a quarter only what tells how long they took, read from the tables in one query.

Whole plantings are rows by the thousand; the days on which they entered a stage, were first cut or were looked at are
a few numbers each. The walks come whole: what stands needs them too.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import CharField, DecimalField, ExpressionWrapper, F, Field, IntegerField, Q, QuerySet, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Cast, Coalesce, NullIf

from farmops.core.schedule import Schedule, Walked
from farmops.growing.models import Planting, Stay, Walk
from farmops.harvest.models import Pick
from farmops.planning import rows
from farmops.planning.own_pace import OWN_DAYS, Told
from farmops.planning.standing import schedule_on, stage_of, walked

SOWN, STOOD, PICKED, SEEN = range(4)
AS_PLANNED = 2  # added to the number of a walk; 1 is finished
NUMBER = DecimalField(max_digits=12, decimal_places=4)
WORDS = CharField(max_length=300)
COLUMNS = ("what", "which", "on", "planting", "number", "ready", "late", "name", "space")


class _Found(NamedTuple):
    """One row. `name` is a planting's code, a kind of space or who looked; `space` of a planting is its variety."""

    what: int
    which: int
    on: date
    planting: int
    number: int | None
    ready: Decimal | None
    late: Decimal | None
    name: str
    space: str


@dataclass(frozen=True, slots=True)
class OwnRecords:
    """As it was read, the code of each planting, and every walk, in the order in which they were noted."""

    found: Sequence[_Found]
    codes: Mapping[int, str]
    walks: tuple[rows.Walk, ...]


def own_records(today: date, days: int = OWN_DAYS) -> OwnRecords:
    """What tells of the days of all plantings sown in the last `days`, or standing today. One query."""
    since = today - timedelta(days=days)
    is_recent = Q(sown_on__gte=since) | Q(cleared_on=None) | Q(cleared_on__gte=today)
    sown = Planting.objects.sown().filter(is_recent)
    keys = sown.values("pk")
    parts = (
        _part(sown, SOWN, "pk", "sown_on", name=F("code"), space=F("variety__name")),
        _part(
            Stay.objects.live().filter(state=Stay.State.DONE, planting__in=keys),
            STOOD,
            "planting",
            "from_on",
            number=Coalesce(F("stage_number"), Value(0)),
            name=F("space__kind__name"),
        ),
        _part(Pick.objects.live().filter(planting__in=keys), PICKED, "planting", "picked_on", number=F("cutting")),
        _part(
            Walk.objects.live().filter(planting__in=keys),
            SEEN,
            "planting",
            "seen_on",
            which=F("pk"),
            number=Cast("is_finished", IntegerField()) + AS_PLANNED * Cast("is_as_planned", IntegerField()),
            ready=F("ready"),
            late=F("days_late"),
            name=Coalesce(NullIf("by_name", Value("")), "entry__by__name", Value("")),
            space=Coalesce("stay__space__name", Value("")),
        ),
    )
    found = list(map(_Found._make, parts[0].union(*parts[1:])))
    codes = {one.planting: one.name for one in found if one.what == SOWN}
    seen = sorted((one for one in found if one.what == SEEN), key=lambda one: one.which)
    return OwnRecords(found, codes, tuple(_walk(one, codes[one.planting]) for one in seen))


def told_of(records: OwnRecords, versions: Mapping[str, Sequence[tuple[date, Schedule]]]) -> list[Told]:
    """What own plantings tell; those of a variety without a schedule tell nothing.

    Parameters
    ----------
    records : OwnRecords
    versions : mapping of variety to (first day, Schedule)
        As of `standing.schedules_of`.
    """
    of_planting: dict[int, dict[int, list[_Found]]] = defaultdict(lambda: defaultdict(list))
    for one in records.found:
        of_planting[one.planting][one.what].append(one)
    walks: dict[str, list[Walked]] = defaultdict(list)
    for walk in records.walks:
        walks[walk.planting].append(walked(walk))
    told = []
    for noted in of_planting.values():
        for sown in noted[SOWN]:
            if sown.space not in versions:
                continue
            schedule = schedule_on(versions[sown.space], sown.on)
            last = len(schedule.stages) - 1
            entered = (one.on for one in noted[STOOD] if stage_of(schedule, one.name, one.number or 0) == last)
            picks = tuple((one.on, one.number) for one in noted[PICKED])
            seen = tuple(walks[sown.name])
            told.append(Told(sown.name, sown.space, schedule, sown.on, min(entered, default=None), picks, seen))
    return told


def _part(noted: QuerySet[Any], what: int, planting: str, on: str, **columns: Combinable) -> QuerySet[Any, Any]:
    """Rows of one kind with all columns, those that it has not being empty."""
    empty = {
        "which": Value(0),
        "number": Cast(Value(None), IntegerField()),
        "ready": Cast(Value(None), NUMBER),
        "late": Cast(Value(None), NUMBER),
        "name": Value(""),
        "space": Value(""),
    }
    given = {**empty, **columns}
    kinds: dict[str, Field[Any, Any]] = {
        "which": IntegerField(),
        "number": IntegerField(),
        "ready": NUMBER,
        "late": NUMBER,
    }
    typed = {
        f"_{column}": ExpressionWrapper(given[column], kinds.get(column, WORDS))
        for column in COLUMNS
        if column in given
    }
    shown = noted.annotate(_what=Value(what, IntegerField()), _on=F(on), **typed)
    columns_shown = (planting if column == "planting" else f"_{column}" for column in COLUMNS)
    part: QuerySet[Any, Any] = shown.order_by().values_list(*columns_shown)
    return part


def _walk(one: _Found, planting: str) -> rows.Walk:
    number = one.number or 0
    late = Decimal(0) if number >= AS_PLANNED and one.late is None and one.ready is None else one.late
    return rows.Walk(
        planting=planting,
        day=one.on,
        by=one.name,
        ready=one.ready,
        days_late=late,
        finished="yes" if number % AS_PLANNED else "",
        space=one.space,
    )
