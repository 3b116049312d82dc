"""Entries: once only, in order, and nothing altered without one."""

from collections import defaultdict
from collections.abc import Iterator

from django.apps import apps
from django.db.models import F, Q
from django.utils.translation import gettext as _

from farmops.exchange.check_farm.wrong import Wrong
from farmops.exchange.models import RowTakenBack
from farmops.farm.days import farm_day, farm_zone
from farmops.farm.models import RowMoved
from farmops.journal.models import Change, Entry, Job

MAY_LIE_AHEAD = {Job.PLAN, Job.SET, Job.READ, Job.WAIT, Job.UNDO, Job.LOAD, Job.SOW}  # LOAD and SOW also plan


def wrong_journal() -> Iterator[Wrong]:
    """Faults of entries and of what they altered."""
    yield from _entries()
    yield from _changes()


def _entries() -> Iterator[Wrong]:
    for entry in Entry.objects.filter(said_at__gt=F("received_at")).order_by("pk"):
        yield Wrong.of(entry, _("It was said after it was received."), entry.said)
    for entry in Entry.objects.filter(corrects__pk__gt=F("pk")).order_by("pk"):
        yield Wrong.of(entry, _("It corrects an entry that came after it."), entry.said)
    for entry in Entry.objects.filter(Q(said="") & ~Q(job=Job.UNDO)).order_by("pk"):
        yield Wrong.of(entry, _("It does not say what was done."))
    zone = farm_zone()
    for entry in Entry.objects.exclude(job__in=MAY_LIE_AHEAD).order_by("pk").iterator():
        if entry.farm_day > farm_day(entry.received_at, zone):
            yield Wrong.of(entry, _("It is of a day that had not come when it was noted."), entry.said)


def _changes() -> Iterator[Wrong]:
    """The last change of a column says what stands there now."""
    last: dict[str, dict[tuple[int, str], Change]] = defaultdict(dict)
    for change in Change.objects.order_by("pk").iterator():
        last[change.table][change.row, change.column] = change
    taken_back = {(one.table, one.row): one.was for one in RowTakenBack.objects.iterator()}
    moves = list(RowMoved.objects.order_by("pk"))
    taken_back |= {(one.table, one.row): one.was for one in moves if one.was is not None}
    came = {(one.table, one.row): one.entry_id for one in moves if one.was is None}
    for table, changes in sorted(last.items()):
        model = apps.get_model(table)
        rows = model._default_manager.in_bulk({row for row, _column in changes})
        for (key, column), change in changes.items():
            row = rows.get(key)
            if change.entry_id < came.get((table, key), 0):
                continue  # it was moved out and in again since
            if row is None and _text(taken_back.get((table, key), {}).get(column, change)) == _text(change.new):
                continue
            if row is None:
                yield Wrong(table, key, _("An entry altered it, and it is not there."))
            elif _text(getattr(row, column)) != _text(change.new):
                words = {"column": column, "now": getattr(row, column), "said": change.new}
                yield Wrong.of(row, _("%(column)s is %(now)s; the journal says %(said)s.") % words, str(row))


def _text(value: object) -> str:
    return "" if value is None else str(value)
