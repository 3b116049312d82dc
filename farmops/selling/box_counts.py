"""Box counts: so many boxes with so much of an item in each, added, changed from a week on, ended."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from farmops.core.calendar import WEEK, monday_of
from farmops.farm.days import day_in_words
from farmops.growing.models import Item
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.selling.models import BoxCount, Outlet
from farmops.selling.prices import prices_on
from farmops.selling.typed_stock import stored_amount, stored_cents, with_unit

Answer = tuple[str, Mapping[str, object]]


def add_boxes(
    *,
    saying: Saying,
    box: Outlet,
    item: Item,
    first_on: date,
    last_on: date | None,
    boxes: int,
    typed: str,
    size: str = "",
    value: str = "",
    yes: frozenset[str] = frozenset(),
) -> Done:
    """So many boxes of a size with so much of an item in each, in the weeks of two days and between.

    Raises
    ------
    Refused
        If it is no box, or nobody knows what the item is worth in it.
    """

    def write(entry: Entry) -> Answer:
        whom = Outlet.objects.select_for_update(no_key=True).get(pk=box.pk)
        if whom.kind != Outlet.Kind.BOX:
            raise Refused(_("%(name)s is no weekly box.") % {"name": whom.name}, field="box")
        worth = stored_cents(value, field="value", yes=yes) if value.strip() else None
        if worth is None and item.pk not in prices_on([item], whom, first_on):
            words = {"item": item.name, "name": whom.name}
            raise Refused(
                _("%(item)s has no price at %(name)s. Type what it is worth in the box.") % words, field="value"
            )
        count = BoxCount(
            box=whom,
            first_week=monday_of(first_on),
            last_week=monday_of(last_on) if last_on else None,
            size=size,
            boxes=boxes,
            item=item,
            amount=stored_amount(typed, item.unit, field="amount", yes=yes),
            value_cents=worth,
            entry=entry,
        )
        save(count)
        return _said(count, count.first_week), {"box": whom.pk}

    return do_once(saying, Job.SET, write)


def change_boxes(
    *,
    saying: Saying,
    count: BoxCount,
    boxes: int,
    typed: str,
    from_on: date,
    yes: frozenset[str] = frozenset(),
) -> Done:
    """Other figures from the week of a day on; up to then they stay as they were.

    Raises
    ------
    Refused
        If it is over by then.
    """

    def write(entry: Entry) -> Answer:
        old = _locked_count(count)
        amount = stored_amount(typed, old.item.unit, field="amount", yes=yes)
        first, last = max(monday_of(from_on), old.first_week), old.last_week or old.first_week
        if first > last:
            raise Refused(_("That count is over by then. Add a new one."), field="from_on")
        if first == old.first_week:
            change(entry, old, boxes=boxes, amount=amount)
            return _said(old, first), {"box": old.box_id}
        change(entry, old, last_week=first - WEEK)
        new = BoxCount(
            box=old.box,
            first_week=first,
            last_week=last,
            size=old.size,
            boxes=boxes,
            item=old.item,
            amount=amount,
            value_cents=old.value_cents,
            failing_costs_cents=old.failing_costs_cents,
            entry=entry,
        )
        save(new)
        return _said(new, first), {"box": old.box_id}

    return do_once(saying, Job.SET, write)


def end_boxes(*, saying: Saying, count: BoxCount, last_on: date) -> Done:
    """Its last week is that of a day.

    Raises
    ------
    Refused
        If it begins after that.
    """

    def write(entry: Entry) -> Answer:
        old = _locked_count(count)
        last = monday_of(last_on)
        if last < old.first_week:
            words = {"day": day_in_words(old.first_week)}
            raise Refused(
                _("It begins on %(day)s. Take it back in the day book, or leave single days out.") % words,
                field="from_on",
            )
        change(entry, old, last_week=last)
        words = {"box": old.box.name, "item": old.item.name, "day": day_in_words(last)}
        return _("%(box)s: %(item)s until the week of %(day)s") % words, {"box": old.box_id}

    return do_once(saying, Job.SET, write)


def _locked_count(count: BoxCount) -> BoxCount:
    Outlet.objects.select_for_update(no_key=True).get(pk=count.box_id)
    fresh = BoxCount.objects.live().select_related("box", "item").filter(pk=count.pk).first()
    if fresh is None:
        raise Refused(_("That count was taken back. Add it anew."))
    return fresh


def _said(count: BoxCount, first: date) -> str:
    words = {
        "box": count.box.name,
        "boxes": count.boxes,
        "size": f" {count.size}" if count.size else "",
        "amount": with_unit(count.amount, count.item.unit),
        "item": count.item.name,
        "day": day_in_words(first),
    }
    return _("%(box)s:%(size)s %(boxes)d boxes, %(amount)s of %(item)s in each, from %(day)s on") % words
