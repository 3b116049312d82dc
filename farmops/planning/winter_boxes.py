"""What is meant to be in the boxes of each size, week by week. What is said last of a week counts for it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.calendar import WEEK, monday_of
from farmops.farm.days import day_in_words
from farmops.growing.models import Item
from farmops.growing.natural_order import natural_key
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.planning.copy_year import weeks_between
from farmops.planning.copy_year_write import PriceOf, price_finder
from farmops.selling.models import BoxCount, Outlet
from farmops.selling.typed_stock import in_figures, money_in_words, per_unit, stored_amount, with_unit

Answer = tuple[str, Mapping[str, object]]


@dataclass(frozen=True, slots=True)
class Content:
    """One item: how many boxes it is counted for, and how much of it in each, as stored and in words."""

    item: str
    boxes: int
    amount: int
    words: str


@dataclass(frozen=True, slots=True)
class ContentRun:
    """Weeks with the same contents; `worth_cents` of one box, None where a price is missing."""

    first: date
    last: date
    contents: tuple[Content, ...]
    worth_cents: int | None

    @property
    def fewest(self) -> int:
        return min(one.boxes for one in self.contents)

    @property
    def most(self) -> int:
        return max(one.boxes for one in self.contents)

    @property
    def worth_in_words(self) -> str:
        return "" if self.worth_cents is None else money_in_words(self.worth_cents)


@dataclass(frozen=True, slots=True)
class SizeContents:
    """One size of one box, and its weeks in runs; weeks without a box stand in none."""

    box: Outlet
    size: str
    runs: tuple[ContentRun, ...]


def contents_of(first: date, last: date) -> list[SizeContents]:
    """From a Monday to a Sunday, by box and size. Three queries."""
    price = price_finder()
    boxes = {one.pk: one for one in Outlet.objects.filter(kind=Outlet.Kind.BOX)}
    weeks: dict[tuple[int, str], dict[date, list[BoxCount]]] = defaultdict(lambda: defaultdict(list))
    for count in BoxCount.objects.live().select_related("item").order_by("pk"):
        for monday in weeks_between(count, first, last) if count.boxes else ():
            weeks[count.box_id, count.size][monday].append(count)
    found = []
    for (box, size), of_size in weeks.items():
        runs: list[ContentRun] = []
        for monday, counts in sorted(of_size.items()):
            contents = _contents(counts)
            worth = _worth(counts, boxes[box], monday, price)
            if runs and (runs[-1].contents, runs[-1].worth_cents, runs[-1].last) == (contents, worth, monday - WEEK):
                runs[-1] = ContentRun(runs[-1].first, monday, contents, worth)
            else:
                runs.append(ContentRun(monday, monday, contents, worth))
        found.append(SizeContents(boxes[box], size, tuple(runs)))
    return sorted(found, key=lambda one: (natural_key(one.box.name), natural_key(one.size)))


def _contents(counts: Iterable[BoxCount]) -> tuple[Content, ...]:
    lines = [
        Content(one.item.name, one.boxes, one.amount, f"{one.item.name} {with_unit(one.amount, one.item.unit)}")
        for one in counts
    ]
    return tuple(sorted(lines, key=lambda one: natural_key(one.item)))


def _worth(counts: Iterable[BoxCount], box: Outlet, monday: date, price: PriceOf) -> int | None:
    """Of one box, by the worth said with each item, else by its price that week."""
    total = 0.0
    for one in counts:
        cents = one.value_cents
        if cents is None:
            cents = price(one.item, box, monday + timedelta(days=box.weekday))
        if cents is None:
            return None
        total += one.amount / per_unit(one.item.unit) * cents
    return int(total + 0.5)


def contents_in(box: Outlet | None, size: str, week: date | None) -> tuple[int | None, dict[int, str]]:
    """Boxes of a size in a week, and what is in each, by the item's key in figures. One query."""
    if box is None or week is None:
        return None, {}
    monday = monday_of(week)
    counts = BoxCount.objects.live().filter(box=box, size=size, boxes__gt=0).select_related("item").order_by("pk")
    there = [one for one in counts if list(weeks_between(one, monday, monday))]
    boxes = max((one.boxes for one in there), default=None)
    return boxes, {one.item_id: in_figures(one.amount, one.item.unit) for one in there}


def set_contents(
    *,
    saying: Saying,
    box: Outlet,
    size: str,
    first_on: date,
    last_on: date | None,
    boxes: int,
    typed: Mapping[int, str],
    yes: frozenset[str] = frozenset(),
) -> Done:
    """So many boxes of a size with these items in each, in the weeks of two days and between, instead of what was said.

    Parameters
    ----------
    typed : mapping
        By the item's key; empty is none of it. With no box nothing is packed in these weeks.

    Raises
    ------
    Refused
        If it is no box, the weeks are over or the wrong way round, nothing is in it, or an item has no price
        (the field of an item is `item-` and its key).
    NeedsYes
        As `stored_amount`.
    """

    def write(entry: Entry) -> Answer:
        whom = Outlet.objects.select_for_update(no_key=True).get(pk=box.pk)
        if whom.kind != Outlet.Kind.BOX:
            raise Refused(_("%(name)s is no weekly box.") % {"name": whom.name}, field="box")
        first, last = monday_of(first_on), monday_of(last_on or first_on)
        if last < first:
            raise Refused(_("The last week must not come before the first."), field="last_on")
        if first < monday_of(saying.day):
            raise Refused(_("That week is over: its boxes stay as they were."), field="first_on")
        there = BoxCount.objects.live().filter(box=whom, size=size).select_related("item").order_by("pk")
        worth = {one.item_id: one.value_cents for one in there if one.value_cents is not None}
        new = _new_counts(entry, whom, size, (first, last), boxes, typed, worth, yes)
        for one in there:
            _make_way(entry, one, first, last)
        for count in new:
            save(count)
        return _said(whom, size, first, last, boxes, len(new)), {"box": whom.pk}

    return do_once(saying, Job.SET, write)


def _new_counts(
    entry: Entry,
    box: Outlet,
    size: str,
    weeks: tuple[date, date],
    boxes: int,
    typed: Mapping[int, str],
    worth: Mapping[int, int],
    yes: frozenset[str],
) -> list[BoxCount]:
    if not boxes:
        return []
    price, new = price_finder(), []
    named = {key: text for key, text in typed.items() if text.strip()}
    for item in sorted(Item.objects.filter(pk__in=named), key=lambda one: natural_key(one.name)):
        field = f"item-{item.pk}"
        amount = stored_amount(named[item.pk], item.unit, field=field, yes=yes, may_be_zero=True)
        if item.pk not in worth and price(item, box, weeks[0] + timedelta(days=box.weekday)) is None:
            words = {"item": item.name, "name": box.name}
            raise Refused(_("%(item)s has no price at %(name)s. Give it one first.") % words, field=field)
        if amount:
            facts = {"boxes": boxes, "amount": amount, "value_cents": worth.get(item.pk)}
            new.append(
                BoxCount(box=box, size=size, item=item, first_week=weeks[0], last_week=weeks[1], entry=entry, **facts)
            )
    if not new:
        raise Refused(_("Say what is in each box, or that there is none: 0 boxes."), field="boxes")
    return new


def _make_way(entry: Entry, count: BoxCount, first: date, last: date) -> None:
    """Take these weeks out of a count: what comes before and after stays."""
    begins, over = monday_of(count.first_week), count.last_week or monday_of(count.first_week)
    if not count.boxes or over < first or begins > last:
        return
    if begins < first:
        change(entry, count, last_week=first - WEEK)
    elif over > last:
        change(entry, count, first_week=last + WEEK)
    else:
        change(entry, count, boxes=0)
    if begins < first and over > last:
        save(
            BoxCount(
                box=count.box,
                size=count.size,
                item=count.item,
                boxes=count.boxes,
                amount=count.amount,
                value_cents=count.value_cents,
                failing_costs_cents=count.failing_costs_cents,
                first_week=last + WEEK,
                last_week=over,
                entry=entry,
            )
        )


def _said(box: Outlet, size: str, first: date, last: date, boxes: int, items: int) -> str:
    weeks = (
        _("the week of %(day)s") % {"day": day_in_words(first)}
        if first == last
        else _("the weeks of %(first)s to %(last)s") % {"first": day_in_words(first), "last": day_in_words(last)}
    )
    words = {"box": " ".join(filter(None, (box.name, size))), "boxes": boxes, "items": items, "weeks": weeks}
    if not boxes:
        return _("%(box)s: none in %(weeks)s") % words
    return (
        ngettext(
            "%(box)s: %(boxes)d boxes with %(items)d item in %(weeks)s",
            "%(box)s: %(boxes)d boxes with %(items)d items in %(weeks)s",
            items,
        )
        % words
    )
