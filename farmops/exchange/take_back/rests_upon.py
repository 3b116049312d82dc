"""What rests on the rows of a reading: while it counts they cannot go, and once it counts no more it goes with them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.db.models import Model, Q, QuerySet
from django.utils.translation import gettext as _

from farmops.exchange.read_rows import ENTRIES, TakenBack, reading_of, rows_of, within
from farmops.farm.models import Farm, RowMoved
from farmops.growing.models import Leaving, Planting, Stay
from farmops.harvest.models import PickLine
from farmops.journal.models import READING, Change, Entry, Job

MOST_NAMED = 5
Keys = dict[type[Model], set[int]]


@dataclass(slots=True)
class Resting:
    """What was found.

    Attributes
    ----------
    going : dict of model to keys
        Rows of the reading, and others that rest on them and count no more.
    entries : set of keys
        Those of its rows.
    taken_back : TakenBack
        Entries of readings that were taken back before.
    said : dict
        What counts and rests on them, in its own words.
    """

    reading: Entry
    going: Keys
    entries: set[int]
    taken_back: TakenBack
    said: dict[object, str] = field(default_factory=dict)

    @property
    def in_words(self) -> str:
        named = list(self.said.values())[:MOST_NAMED]
        more = len(self.said) - len(named)
        return "; ".join([*named, *([_("and %(n)d more") % {"n": more}] if more else [])])

    def name(self, entry: Entry) -> None:
        """Name an entry that counts; of a row of another reading that whole reading."""
        whole = reading_of(ENTRIES, entry.pk) if entry.job == Job.READ else None
        shown = whole or entry
        self.said.setdefault(shown.pk, shown.said)


def resting_on(reading: Entry) -> Resting:
    """Everything that rests on a reading. Some queries for each table that points to another."""
    rows = rows_of(reading)
    entries = rows.pop(Entry, set())
    found = Resting(reading, rows, entries, TakenBack.of_farm())
    _pointing(found)
    _changed(found)
    _corrected(found)
    _of_plants(found)
    if Farm in found.going:
        _all_later(found)
    return found


def _pointing(found: Resting) -> None:
    """Rows that point to rows that go; those that count no more go too, and what points to them is looked at."""
    fresh: Mapping[type[Model], set[int]] = dict(found.going)
    while fresh:
        following: Keys = {}
        for model, keys in fresh.items():
            for relation in model._meta.related_objects:
                other, name = relation.related_model, relation.field.name
                if isinstance(other, str):
                    continue
                for asked in within(name, keys):
                    for row in _others(other, asked, found):
                        if _counts(row, found):
                            continue
                        following.setdefault(other, set()).add(row.pk)
        for model, keys in following.items():
            found.going.setdefault(model, set()).update(keys)
        fresh = following


def _others(model: type[Model], asked: Q, found: Resting) -> list[Model]:
    there = found.going.get(model, set())
    keys = [key for key in model._base_manager.filter(asked).values_list("pk", flat=True) if key not in there]
    names = {one.name for one in model._meta.concrete_fields}
    rows = model._base_manager.select_related("entry__corrected_by") if "entry" in names else model._base_manager.all()
    return [row for some in within("pk", keys) for row in rows.filter(some).order_by("pk")]


def _counts(row: Model, found: Resting) -> bool:
    """Whether a row that points to one that goes counts; then it is named."""
    if isinstance(row, PickLine):
        return False  # lists are made anew from what stands
    table = row._meta.label_lower
    entry = getattr(row, "entry", None)
    if entry is not None:
        return _entry_counts(entry, found)
    if (other := reading_of(table, row.pk)) is not None:
        return _entry_counts(other, found)
    changed = Entry.objects.filter(
        Q(changes__table=table, changes__row=row.pk) | Q(rows_moved__table=table, rows_moved__row=row.pk)
    ).exclude(job=Job.UNDO)
    by = list(changed.distinct().order_by("pk"))
    if not by:
        found.said.setdefault((table, row.pk), str(row))
        return True
    return any([_entry_counts(entry, found) for entry in by])


def _entry_counts(entry: Entry, found: Resting) -> bool:
    if entry.pk in found.entries or hasattr(entry, "corrected_by") or found.taken_back.holds(entry.pk):
        return False
    found.name(entry)
    return True


def _live_later(found: Resting) -> QuerySet[Entry]:
    """Entries after the reading that count, none of its own rows."""
    own = Q()
    for asked in within("pk", found.entries):
        own |= asked
    later = Entry.objects.live().filter(pk__gt=found.reading.pk).exclude(job=Job.UNDO)
    return (later.exclude(own) if found.entries else later).order_by("pk")


def _changed(found: Resting) -> None:
    """Who altered a row that goes, or moved it out."""
    for model, keys in found.going.items():
        for asked in within("row", keys):
            changes = Change.objects.filter(asked, table=model._meta.label_lower)
            moved = RowMoved.objects.filter(asked, table=model._meta.label_lower)
            by = {*changes.values_list("entry", flat=True), *moved.values_list("entry", flat=True)}
            by -= {*found.entries, found.reading.pk}
            for some in within("pk", by):
                for entry in Entry.objects.filter(some).exclude(job=Job.UNDO).order_by("pk"):
                    _entry_counts(entry, found)


def _corrected(found: Resting) -> None:
    """Rows that were put right by another entry, which counts in their place."""
    for asked in within("corrects", found.entries):
        for entry in Entry.objects.filter(asked).order_by("pk"):
            last = entry
            while hasattr(last, "corrected_by"):
                last = last.corrected_by
            if last.job != Job.UNDO:
                found.name(last)


def _of_plants(found: Resting) -> None:
    """Plants that came or went later, of plantings whose plants this reading moved or took."""
    plantings: set[int] = set()
    for model in (Stay, Leaving):
        for asked in within("pk", found.going.get(model, ())):
            plantings |= set(model._base_manager.filter(asked).values_list("planting", flat=True))
    touched = sorted(plantings - found.going.get(Planting, set()))
    later = _live_later(found)
    for model in (Stay, Leaving):
        by = set(model._base_manager.filter(planting__in=touched, entry__in=later).values_list("entry", flat=True))
        for entry in Entry.objects.filter(pk__in=by).order_by("pk"):
            _entry_counts(entry, found)
    changes = Change.objects.filter(table=Planting._meta.label_lower, row__in=touched, entry__in=later)
    for entry in Entry.objects.filter(pk__in=set(changes.values_list("entry", flat=True))).order_by("pk"):
        _entry_counts(entry, found)


def _all_later(found: Resting) -> None:
    """The farm itself carries its days, its units and its money: everything later rests on it."""
    for entry in _live_later(found).exclude(Q(job=Job.READ) & ~Q(once_key__startswith=READING)):
        found.name(entry)
