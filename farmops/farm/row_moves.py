"""Rows that name no entry (the farm, spaces, varieties, items): brought into their tables and taken out by entries.

An entry that brought rows in takes them out again when it is taken back, and keeps them as they were; one that took
rows out puts them back. Neither happens under something that counts.
"""

from collections.abc import Iterator

from django.apps import apps
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _

from farmops.farm.models import Farm, RowMoved
from farmops.journal.deed import save
from farmops.journal.models import Change, Entry, Job
from farmops.journal.refusal import Refused

MOST_NAMED = 3


def bring_in(entry: Entry, *rows: models.Model) -> None:
    """Store new rows in their order, and note that this entry did."""
    save(*rows)
    RowMoved.objects.bulk_create(RowMoved(entry=entry, table=row._meta.label_lower, row=row.pk) for row in rows)


def take_out(entry: Entry, *rows: models.Model) -> None:
    """Move rows out of their tables, last first, and keep each as it was.

    Raises
    ------
    Refused
        If something that counts rests on one of them.
    """
    for row in reversed(rows):
        if said := list(resting_on(row)):
            raise Refused(
                _("It stays, because something was noted of it since: %(said)s.")
                % {"said": "; ".join(said[:MOST_NAMED])}
            )
        was = {one.attname: _json(getattr(row, one.attname)) for one in row._meta.concrete_fields}
        RowMoved.objects.create(entry=entry, table=row._meta.label_lower, row=row.pk, was=was)
        row.delete()


def lock(entry: Entry) -> None:
    """Nobody changes these rows meanwhile."""
    for one in _moves(entry):
        if one.was is None:
            rows = apps.get_model(one.table)._default_manager.select_for_update(no_key=True)
            list(rows.filter(pk=one.row).values_list("pk"))


def check(entry: Entry, because_of: Entry, because: str) -> None:
    """Move the rows of an entry the other way, last first: what it brought in goes, what it took out is back.

    Raises
    ------
    Refused
        If something that counts came after it and rests on them.
    """
    moves = list(_moves(entry))
    later = Entry.objects.live().filter(pk__gt=entry.pk).exclude(job=Job.UNDO).exclude(pk=because_of.pk).order_by("pk")
    changed = Q()
    for one in moves:
        changed |= Q(changes__table=one.table, changes__row=one.row)
        changed |= Q(rows_moved__table=one.table, rows_moved__row=one.row)
    if any(one.table == Farm._meta.label_lower for one in moves):
        changed = Q()  # it carries the days of every entry
    if (after := later.filter(changed).first()) is not None:
        raise Refused(_("“%(said)s” came after it. Take that back first.") % {"said": after.said})
    for one in reversed(moves):
        model = apps.get_model(one.table)
        if one.was is None:
            take_out(because_of, model._default_manager.get(pk=one.row))
        else:
            values = {field.attname: field.to_python(one.was[field.attname]) for field in model._meta.concrete_fields}
            bring_in(because_of, model(**values))


def resting_on(row: models.Model) -> Iterator[str]:
    """What points to a row, in words: the entry it came by, else itself."""
    for relation in row._meta.related_objects:
        other = relation.related_model
        if isinstance(other, str):
            continue
        for found in other._default_manager.filter(**{relation.field.name: row}).order_by("pk")[:MOST_NAMED]:
            yield _said_of(found)


def _said_of(row: models.Model) -> str:
    entry = getattr(row, "entry", None)
    if isinstance(entry, Entry):
        return entry.said
    moved = Entry.objects.live().filter(rows_moved__table=row._meta.label_lower, rows_moved__row=row.pk).first()
    noted = moved or Entry.objects.live().filter(changes__in=_changes_of(row)).first()
    return noted.said if noted is not None else str(row)


def _changes_of(row: models.Model) -> "models.QuerySet[Change]":
    return Change.objects.filter(table=row._meta.label_lower, row=row.pk)


def _moves(entry: Entry) -> "models.QuerySet[RowMoved]":
    return RowMoved.objects.filter(entry=entry).order_by("pk")


def _json(value: object) -> object:
    return value if value is None or isinstance(value, bool | int | str | list | dict) else str(value)
