"""Taking back one reading of sheets, in one deed: its rows leave the tables and stay to be seen, all of them or none.

Rows of what the farm grows, where and for whom carry no entry of their own and their names are given once; so all rows
of a reading go, into one table that keeps each as it was, and the same sheets can be read in again.
"""

from collections.abc import Iterable, Mapping
from itertools import islice

from django.apps import apps
from django.db.models import Model
from django.utils.translation import gettext as _

from farmops.exchange.models import RowTakenBack
from farmops.exchange.read_rows import rows_of, within
from farmops.exchange.take_back.rests_upon import Keys, Resting, resting_on
from farmops.farm.days import farm_day
from farmops.growing.balance import lock_plantings
from farmops.growing.models import Leaving, Planting, Stay
from farmops.growing.plants_back import in_numbers, too_full_for
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import READING, Change, Entry, Job
from farmops.journal.refusal import Refused
from farmops.planning.models import StoredAnswer

AT_ONCE = 1_000


def take_back(saying: Saying) -> Done:
    """Take back the reading whose entry `saying.corrects` names.

    Raises
    ------
    Refused
        If it was taken back already, or something that counts rests on its rows.
    """
    reading = saying.corrects
    if reading is None or not is_reading(reading):
        raise ValueError("taking a reading back needs the entry of the whole reading")

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        count = _write(reading, entry)
        return _("Taken back: %(said)s") % {"said": reading.said}, {"undone": reading.pk, "rows": count}

    return do_once(saying, Job.UNDO, write)


def is_reading(entry: Entry) -> bool:
    """Whether it stands for a whole reading, and not for one of its rows."""
    return entry.job == Job.READ and entry.once_key.startswith(READING)


def check_take_back(reading: Entry) -> Resting:
    """What rests on a reading; writes nothing.

    Raises
    ------
    Refused
        If something that counts rests on its rows.
    """
    found = resting_on(reading)
    if not found.going and not found.entries:
        raise Refused(_("Which rows it added was not noted then, so it cannot be taken back."))
    if found.said:
        raise Refused(_("Later entries rest on this one: %(said)s. Take those back first.") % {"said": found.in_words})
    return found


def _write(reading: Entry, entry: Entry) -> int:
    _lock(reading)
    found = check_take_back(reading)
    _turn_round(found, entry)
    back = _plants_back(found.going)
    count = sum(_take_out(model, keys, entry) for model, keys in found.going.items())
    for stay in Stay.objects.filter(pk__in=back, is_over=True).order_by("pk"):
        change(entry, stay, is_over=False)
    _check_room(back, entry)
    StoredAnswer.objects.all().delete()  # worked out from rows that are gone; anybody may ask for them anew
    return count


def _lock(reading: Entry) -> None:
    """Nobody moves, cuts or clears plants of these plantings meanwhile."""
    going = rows_of(reading)
    plantings = set(going.get(Planting, ()))
    for model in (Stay, Leaving):
        for asked in within("pk", going.get(model, ())):
            plantings |= set(model._base_manager.filter(asked).values_list("planting", flat=True))
    if plantings:
        lock_plantings(*plantings)


def _turn_round(found: Resting, entry: Entry) -> None:
    """Columns of rows that stay are again as they were before the reading, newest change first."""
    olds: dict[tuple[str, int], dict[str, object]] = {}
    for asked in within("entry", {*found.entries, found.reading.pk}):
        for one in Change.objects.filter(asked).order_by("-pk"):
            if one.row in found.going.get(apps.get_model(one.table), ()):
                continue
            later = Change.objects.filter(table=one.table, row=one.row, column=one.column, pk__gt=one.pk)
            others = later.exclude(entry=entry).exclude(entry__job=Job.UNDO).filter(entry__corrected_by=None)
            for other in others.select_related("entry").order_by("pk"):
                is_own = other.entry_id in found.entries or other.entry_id == found.reading.pk
                if not is_own and not found.taken_back.holds(other.entry_id):
                    raise Refused(_("“%(said)s” came after it. Take that back first.") % {"said": other.entry.said})
            column = apps.get_model(one.table)._meta.get_field(one.column)  # none of them points to another row
            olds.setdefault((one.table, one.row), {})[one.column] = column.to_python(one.old)
    for (table, key), old in olds.items():
        change(entry, apps.get_model(table)._default_manager.get(pk=key), **old)


def _plants_back(going: Keys) -> set[int]:
    """Stays that remain, in which plants stand again."""
    stays: set[int] = set()
    for asked in within("pk", going.get(Leaving, ())):
        stays |= set(Leaving.objects.filter(asked).exclude(stay=None).values_list("stay", flat=True))
    return stays - going.get(Stay, set())


def _take_out(model: type[Model], keys: set[int], entry: Entry) -> int:
    """Move rows of a table to where those lie that were taken back."""
    names = [one.attname for one in model._meta.concrete_fields]
    for asked in within("pk", keys):
        rows = model._base_manager.filter(asked).order_by("pk").values(*names).iterator(AT_ONCE)
        while some := list(islice(rows, AT_ONCE)):
            RowTakenBack.objects.bulk_create(
                RowTakenBack(
                    taken_back_by=entry,
                    table=model._meta.label_lower,
                    row=row[model._meta.pk.attname],
                    was={name: _json(value) for name, value in row.items()},
                )
                for row in some
            )
    for asked in within("pk", keys):
        going = model._base_manager.filter(asked)
        going._raw_delete(going.db)  # rows that point to them go as well; the database looks once all are gone
    return len(keys)


def _json(value: object) -> object:
    return value if value is None or isinstance(value, bool | int | str | list | dict) else str(value)


def _check_room(back: Iterable[int], entry: Entry) -> None:
    """Where plants stand again there must be room for them."""
    stays = dict(Stay.objects.live().filter(pk__in=back).values_list("pk", "space"))
    if full := too_full_for(stays, farm_day(entry.received_at)):
        raise Refused(
            _("Plants would stand again where there is no room for them. %(spaces)s Move others out first.")
            % {"spaces": " ".join(in_numbers(room, clashes) for room, clashes in full)}
        )
