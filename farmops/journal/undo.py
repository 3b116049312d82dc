"""Taking back an entry: its rows count no more, its changes are turned round, and both stay to be seen."""

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import models
from django.utils.translation import gettext as _

from farmops.journal import let_back
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Change, Entry, Job
from farmops.journal.refusal import Refused

Cell = tuple[str, int, str]  # table, row, column


def undo(saying: Saying) -> Done:
    """Take back the entry that `saying.corrects` names.

    Raises
    ------
    Refused
        If it was taken back or corrected already, or something later rests on it.
    """
    entry = saying.corrects
    if entry is None:
        raise ValueError("an undo needs the entry it takes back")

    def write(undoing: Entry) -> tuple[str, dict[str, object]]:
        if entry.job in {Job.UNDO, Job.READ}:
            raise Refused(_("That cannot be taken back here. Enter what is right instead."))
        turn_back(entry, undoing)
        return _("Taken back: %(said)s") % {"said": entry.said}, {"undone": entry.pk}

    return do_once(saying, Job.UNDO, write)


def turn_back(entry: Entry, because_of: Entry) -> None:
    """Turn round every change of an entry, newest first; part of an undo, and of a correction before its new rows.

    Raises
    ------
    Refused
        If a later entry changed the same column, or its rows are built upon (see `built_upon`).
    """
    let_back.lock(entry)
    if said := built_upon(entry):
        raise Refused(_("Later entries rest on this one: %(said)s. Take those back first.") % {"said": "; ".join(said)})
    for one in Change.objects.filter(entry=entry).order_by("-pk"):
        later = Change.objects.filter(table=one.table, row=one.row, column=one.column, pk__gt=one.pk)
        if after := _first_after(later, because_of):
            raise _came_after(after)
    olds: dict[tuple[str, int], dict[str, object]] = {}
    for (table, key, attribute), told in _before(entry).items():
        name = attribute.removesuffix("_id") if attribute != "id" else attribute
        column = apps.get_model(table)._meta.get_field(name)
        old = told if column.is_relation else column.to_python(told)
        olds.setdefault((table, key), {})[name] = _row_of(column, old)
    # A row's columns go back together: one by one, a rule over two of them would say no halfway.
    for (table, key), old_values in olds.items():
        change(because_of, apps.get_model(table)._default_manager.get(pk=key), **old_values)
    _open_again(entry, because_of)


def _before(entry: Entry) -> dict[Cell, object]:
    """What columns held before an entry altered them.

    A correction first turned back what it corrects; that counts no more either, so what the column held before both.
    """
    changes = list(Change.objects.filter(entry=entry).order_by("-pk"))
    found: dict[Cell, object] = {(one.table, one.row, one.column): one.old for one in changes}
    corrected = entry.corrects
    if corrected is None or entry.job == Job.UNDO:
        return found
    first_new = {(one.table, one.row, one.column): one.new for one in changes}
    opened = {cell: value for cell, value in _opened(corrected) if cell in first_new and first_new[cell] == value}
    known = {**_before(corrected), **opened}
    return {cell: known.get(cell, old) for cell, old in found.items()}


def _opened(entry: Entry) -> Iterator[tuple[Cell, object]]:
    """Columns that take a value again where rows of an entry count no more."""
    for relation in Entry._meta.related_objects:
        model = relation.related_model
        opens_again = getattr(model, "opens_again", ())
        if isinstance(model, str) or relation.field.name != "entry" or not opens_again:
            continue
        for row in model._default_manager.filter(entry=entry).order_by("pk"):
            for name, column, value in opens_again:
                if (opened := getattr(row, name)) is not None:
                    yield (opened._meta.label_lower, opened.pk, column), value


def built_upon(entry: Entry) -> list[str]:
    """What live entries made afterwards point to rows of this one, in their own words.

    A model that says it outlives its entry stays as it is, and so may what rests on it.
    """
    said: dict[int, str] = {}
    for relation in Entry._meta.related_objects:
        model = relation.related_model
        if isinstance(model, str) or relation.field.name != "entry" or model is Change:
            continue
        if getattr(model, "outlives_its_entry", False):
            continue
        rows = list(model._default_manager.filter(entry=entry).values_list("pk", flat=True))
        for pointing in model._meta.related_objects if rows else ():
            other = pointing.related_model
            if isinstance(other, str) or "entry" not in {one.name for one in other._meta.get_fields()}:
                continue
            found = other._default_manager.filter(
                **{f"{pointing.field.name}__in": rows, "entry__corrected_by": None}
            ).exclude(entry=entry)
            said |= dict(found.values_list("entry_id", "entry__said")[:5])
    return list(said.values())


def _open_again(entry: Entry, because_of: Entry) -> None:
    """What rows that count no more had helped to end goes on, unless something later ended it for good.

    A model says so itself: `ended_by` names rows and columns after whose change an undo is refused (a correction puts
    new rows in place), `opens_again` the columns that take a value again.
    """
    first = entry
    while first.corrects is not None:  # what was corrected had gone before the correction was made
        first = first.corrects
    for relation in Entry._meta.related_objects:
        model = relation.related_model
        ended_by, opens_again = getattr(model, "ended_by", ()), getattr(model, "opens_again", ())
        if isinstance(model, str) or relation.field.name != "entry" or not (ended_by or opens_again):
            continue
        for row in model._default_manager.filter(entry=entry).order_by("pk"):
            ends = (
                _first_after(_changes_of(getattr(row, name), column, first), because_of) for name, column in ended_by
            )
            ended = next(filter(None, ends), None)
            if ended is not None and because_of.job == Job.UNDO:
                raise _came_after(ended)
            for name, column, value in opens_again if ended is None else ():
                if (opened := getattr(row, name)) is not None:
                    change(because_of, opened, **{column: value})


def _changes_of(row: models.Model, column: str, since: Entry) -> "models.QuerySet[Change]":
    return Change.objects.filter(table=row._meta.label_lower, row=row.pk, column=column, entry__gt=since.pk)


def _first_after(later: "models.QuerySet[Change]", because_of: Entry) -> Entry | None:
    """The first of these changes that holds."""
    holding = later.exclude(entry=because_of).exclude(entry__corrected_by__isnull=False).exclude(entry__job=Job.UNDO)
    found = holding.select_related("entry").order_by("pk").first()
    return found.entry if found else None


def _came_after(entry: Entry) -> Refused:
    return Refused(_("“%(said)s” came after it. Take that back first.") % {"said": entry.said})


def _row_of(column: "models.Field[Any, Any]", old: object) -> object:
    if not column.is_relation or old is None:
        return old
    return column.related_model._default_manager.get(pk=old)  # type: ignore[union-attr]  # a ForeignKey has a model
