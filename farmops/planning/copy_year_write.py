"""One press copies a year into the next: one entry, and one undo takes all of it back."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.farm.days import day_in_words
from farmops.farm.models import ClosedDays, Farm
from farmops.farm.row_moves import bring_in
from farmops.growing.models import Item
from farmops.journal.deed import Done, Saying, change, do_once
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.planning.copy_year import LAST, CopiedBoxes, CopiedDay, Rest, SeasonOn, YearCopy, copy_of
from farmops.selling.models import BoxCount, MarketDay, MarketLine, Outlet, OutletClosedDays, Price

Facts = Mapping[str, Any]  # columns of a row
PriceOf = Callable[[Item, Outlet, date], int | None]


def copy_year(*, saying: Saying, year: int, week_53: str = LAST) -> Done:
    """Copy the ISO year before into this one, as far as it is not planned yet.

    Parameters
    ----------
    saying : Saying
    year : int
    week_53 : "last" or "first"
        Where week 53 goes: into the last week, or into the first of the year after.

    Raises
    ------
    Refused
        If nothing is left to copy.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        list(Outlet.objects.select_for_update(no_key=True).order_by("pk"))
        copied = copy_of(year, saying.day, week_53)
        if not copied.is_anything:
            words = {"source": year - 1, "year": year}
            raise Refused(_("There is nothing of %(source)d to copy that is not planned for %(year)d already.") % words)
        _write_seasons(entry, copied.seasons)
        for rest in copied.rests:
            write_closed(entry, rest)
        _write_days(entry, copied.days)
        _write_boxes(entry, copied.boxes)
        return _said(copied), {"year": year, "days": len(copied.days), "boxes": len(copied.boxes)}

    return do_once(saying, Job.PLAN, write)


def write_closed(entry: Entry, rest: Rest) -> None:
    """Closed days, within another deed."""
    days = {"first_on": rest.first_on, "last_on": rest.last_on, "reason": rest.reason}
    bring_in(entry, ClosedDays(**days) if rest.outlet is None else OutletClosedDays(outlet=rest.outlet, **days))


def _write_seasons(entry: Entry, seasons: Iterable[SeasonOn]) -> None:
    for one in seasons:
        if one.outlet is None:
            change(entry, Farm.objects.select_for_update(no_key=True).get(), season_last_on=one.last_on)
        else:
            change(entry, Outlet.objects.get(pk=one.outlet.pk), last_on=one.last_on)


def _write_days(entry: Entry, days: Sequence[CopiedDay]) -> None:
    taken_back = _taken_back(days)
    new = []
    for one in days:
        facts = {"opens_minute": one.outlet.opens_minute, "closes_minute": one.outlet.closes_minute}
        if (one.outlet.pk, one.held_on) in taken_back:
            row = taken_back[one.outlet.pk, one.held_on]
            change(entry, row, entry=entry, status=MarketDay.Status.PLANNED, **facts)
        else:
            new.append(MarketDay(outlet=one.outlet, held_on=one.held_on, entry=entry, **facts))
    rows = {(row.outlet_id, row.held_on): row for row in (*taken_back.values(), *MarketDay.objects.bulk_create(new))}
    _write_lines(entry, [(one, rows[one.outlet.pk, one.held_on]) for one in days])


def _taken_back(days: Sequence[CopiedDay]) -> dict[tuple[int, date], MarketDay]:
    """Days that were planned once and taken back: their rows are there."""
    known = MarketDay.objects.filter(held_on__in={one.held_on for one in days}).exclude(entry__corrected_by=None)
    wanted = {(one.outlet.pk, one.held_on) for one in days}
    return {(one.outlet_id, one.held_on): one for one in known if (one.outlet_id, one.held_on) in wanted}


def _write_lines(entry: Entry, days: Sequence[tuple[CopiedDay, MarketDay]]) -> None:
    """The items of each day with what they cost; prices and leftovers as they are known for the day to come."""
    lines = _lines_of(days)
    price = price_finder()
    there = {
        (one.market_day_id, one.item_id): one
        for one in MarketLine.objects.filter(market_day__in=[row.pk for _one, row in days])
    }
    new = []
    for one, row in days:
        for line in lines[one]:
            facts = _facts(line, price(line.item, one.outlet, one.held_on))
            if (row.pk, line.item_id) in there:
                change(entry, there[row.pk, line.item_id], entry=entry, **facts)
            else:
                new.append(MarketLine(market_day=row, item=line.item, entry=entry, **facts))
    MarketLine.objects.bulk_create(new)


def _lines_of(days: Sequence[tuple[CopiedDay, MarketDay]]) -> dict[CopiedDay, Sequence[MarketLine]]:
    """Lines to copy for each day: those of its own day of the year before, else of the market's latest day."""
    live = MarketLine.objects.filter(entry__corrected_by=None, market_day__entry__corrected_by=None)
    outlets = {one.outlet.pk for one, _row in days}
    copying = {row.pk for _one, row in days}
    of_day: dict[int, list[MarketLine]] = defaultdict(list)
    latest: dict[int, MarketDay] = {}
    for line in live.filter(market_day__outlet__in=outlets).select_related("item", "market_day").order_by("pk"):
        day = line.market_day
        if day.pk in copying:
            continue
        of_day[day.pk].append(line)
        if day.outlet_id not in latest or latest[day.outlet_id].held_on <= day.held_on:
            latest[day.outlet_id] = day
    found: dict[CopiedDay, Sequence[MarketLine]] = {}
    for one, _row in days:
        usual = latest.get(one.outlet.pk)
        own = of_day[one.source.pk] if one.source else []
        found[one] = own or (of_day[usual.pk] if usual else [])
    return found


def _facts(line: MarketLine, price_cents: int | None) -> Facts:
    return {
        "unit": line.item.unit,
        "step": line.item.step,
        "price_cents": price_cents,
        "leftover_value_cents": line.item.leftover_value_cents,
        "unit_cost_cents": line.unit_cost_cents,
        "unit_cost_percent": line.unit_cost_percent,
    }


def price_finder() -> PriceOf:
    """Prices of any day, asked of the table once: the outlet's own before the one for all, the latest begun."""
    of_item: dict[int, list[Price]] = defaultdict(list)
    for one in Price.objects.all():
        of_item[one.item_id].append(one)

    def price(item: Item, outlet: Outlet, day: date) -> int | None:
        begun = [
            ((one.outlet_id is not None, one.from_on or date.min), one.price_cents)
            for one in of_item[item.pk]
            if one.outlet_id in (None, outlet.pk) and (one.from_on is None or one.from_on <= day)
        ]
        return max(begun)[1] if begun else None

    return price


def _write_boxes(entry: Entry, boxes: Iterable[CopiedBoxes]) -> None:
    BoxCount.objects.bulk_create(
        BoxCount(
            box=one.count.box,
            item=one.count.item,
            size=one.count.size,
            boxes=one.count.boxes,
            amount=one.count.amount,
            value_cents=one.count.value_cents,
            failing_costs_cents=one.count.failing_costs_cents,
            first_week=one.first_week,
            last_week=one.last_week,
            entry=entry,
        )
        for one in boxes
    )


def _said(copied: YearCopy) -> str:
    days, boxes = len(copied.days), len(copied.boxes)
    words = [
        ngettext("%(n)d market day", "%(n)d market days", days) % {"n": days} if days else "",
        ngettext("%(n)d box count", "%(n)d box counts", boxes) % {"n": boxes} if boxes else "",
        *(
            _("%(name)s goes on until %(day)s")
            % {"name": one.outlet.name if one.outlet else _("the season"), "day": day_in_words(one.last_on)}
            for one in copied.seasons
        ),
    ]
    years = {"source": copied.source, "year": copied.year, "what": ", ".join(filter(None, words))}
    return _("%(source)d copied into %(year)d: %(what)s") % years
