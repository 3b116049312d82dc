"""Writing what a reading found new: in one short transaction, in bulk; checks that read much came before it."""

from collections.abc import Iterable, Sequence

from django.core.exceptions import ValidationError
from django.db import connection, models, transaction
from django.db.models import Count, Max
from django.utils.translation import gettext as _

from farmops.exchange.inside_waits import picks_inside_waits
from farmops.exchange.read_rows import lot_codes_before, note_rows
from farmops.exchange.read_sheets.to_write import IN_ORDER, ToWrite
from farmops.growing.balance import balances, lock_plantings
from farmops.growing.models import Leaving, Planting, Stay
from farmops.harvest.lot_of_the_day import lot_code, stop_lot
from farmops.harvest.models import Lot, Pick
from farmops.journal.models import Change, Entry
from farmops.planning.rows import Fault
from farmops.waiting.models import DoNotCut, Treatment

State = tuple[object, ...]


class MovedOn(Exception):
    """Somebody noted something of the same plantings since they were looked at."""


def standing_of(plantings: Iterable[Planting]) -> State:
    """What tells whether anything was noted of plantings since: cheap to ask twice."""
    keys = sorted(planting.pk for planting in plantings if planting.pk)
    found: list[object] = [keys]
    for model in (Stay, Leaving, Pick):
        rows = model._default_manager.filter(planting__in=keys)
        found.append(rows.aggregate(Max("pk"), Count("pk"), Max("entry__corrected_by")))
    found.append(list(Planting.objects.filter(pk__in=keys).order_by("pk").values_list("state", "cleared_on")))
    return tuple(found)


def store(to_write: ToWrite, head: Entry, before: State, touched: Sequence[Planting]) -> None:
    """Write all of it, or nothing.

    Raises
    ------
    MovedOn
        If plantings changed since `before` was taken.
    IntegrityError
        If a row of that name or key came since, or a rule of the tables is broken.
    """
    with transaction.atomic():
        if known := [planting.pk for planting in touched if planting.pk]:
            lock_plantings(*known)
        if standing_of(touched) != before:
            raise MovedOn
        head.save(force_insert=True)
        for model in IN_ORDER:
            rows = to_write.rows.get(model)
            if rows:
                _write(model, rows)
        note_rows(head, to_write.rows)
        _empty_stays(to_write)
        _over_by_share(to_write)
        _stop_lots(to_write, head)


def count_anew(to_write: ToWrite) -> None:
    """Let PostgreSQL count what was written: it reckons with tables as they were, and would search for minutes."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            for model in (model for model in IN_ORDER if to_write.rows.get(model)):
                cursor.execute(f"ANALYZE {connection.ops.quote_name(model._meta.db_table)}")


def _write(model: type[models.Model], rows: Sequence[models.Model]) -> None:
    if model is Stay:
        _write_stays([row for row in rows if isinstance(row, Stay)])
        return
    if model is Lot:
        before = lot_codes_before()
        for lot in rows:
            if isinstance(lot, Lot) and not lot.code and lot.planting is not None:
                own = lot_code(lot.planting.pk, lot.made_on)
                lot.code = before.get((lot.planting.code, lot.made_on.isoformat()), own)
    model._default_manager.bulk_create(rows)


def _write_stays(rows: Sequence[Stay]) -> None:
    """Those first that others came from."""
    waiting = list(rows)
    while waiting:
        ready = [stay for stay in waiting if stay.came_from is None or stay.came_from.pk]
        Stay.objects.bulk_create(ready)
        waiting = [stay for stay in waiting if not stay.pk]


def _empty_stays(to_write: ToWrite) -> None:
    """Stays of the tables whose last plants left are over, and the journal says since which entry."""
    changes = [_is_over(standing.pk, to_write.entries[id(row)]) for standing, row in to_write.emptied if standing.pk]
    Change.objects.bulk_create(change for change in changes if change is not None)


def _is_over(pk: int, entry: Entry) -> Change | None:
    changed = Stay.objects.filter(pk=pk, is_over=False).update(is_over=True)
    return Change(entry=entry, table="growing.stay", row=pk, column="is_over", old=False, new=True) if changed else None


def _over_by_share(to_write: ToWrite) -> None:
    """Where plants were lost and nobody said where, the balance alone knows which stays are empty by that."""
    codes = [one.planting.planting for one in to_write.followed if one.nowhere]
    plantings = list(Planting.objects.filter(code__in=codes).order_by("pk"))
    standing = {here.stay.pk for balance in balances(plantings).values() for here in balance.here}
    empty = Stay.objects.live().filter(planting__in=plantings, state=Stay.State.DONE, is_over=False)
    entries = {row.code: row.entry_id for row in plantings}
    changes = []
    for stay in empty.exclude(pk__in=standing).select_related("planting"):
        entry = stay.entry_id or entries[stay.planting.code]
        changes.append(Change(entry_id=entry, table="growing.stay", row=stay.pk, column="is_over", old=False, new=True))
    Stay.objects.filter(pk__in=[change.row for change in changes]).update(is_over=True)
    Change.objects.bulk_create(changes)


def _stop_lots(to_write: ToWrite, head: Entry) -> None:
    """What was cut inside a wait may not go out: picks read now, and all of them where waits were read now."""
    picks = Pick.objects.live().filter(lot__stopped_at=None)
    if not (to_write.rows.get(Treatment) or to_write.rows.get(DoNotCut)):
        picks = picks.filter(entry__pk__gt=head.pk) if to_write.rows.get(Pick) else picks.none()
    for pick, wait in picks_inside_waits(picks):
        if pick.lot is not None and pick.lot_id not in to_write.stopped:
            stop_lot(head, pick.lot, to_write.now, _("cut inside a wait: %(reason)s") % {"reason": wait.reason})
            to_write.stopped.add(pick.lot_id)


def broken_rules(to_write: ToWrite) -> list[Fault]:
    """Which rows break a rule of the tables: asked one by one, only after the database refused them all."""
    found = []
    for model in IN_ORDER:
        for row in to_write.rows.get(model, ()):
            try:
                row.validate_constraints()
            except ValidationError as error:
                made_of = to_write.made_of.get(id(row))
                sheet, number = (made_of.sheet, made_of.row.row) if made_of else ("", None)
                found.append(Fault(sheet, number, "", " ".join(error.messages), _("Correct this row.")))
    return found
