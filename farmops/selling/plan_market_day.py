"""A market day goes on the list: its items with price, costs and step as they are on that day."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import Max
from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words
from farmops.growing.models import Item
from farmops.growing.natural_order import natural_key
from farmops.journal.deed import Done, Saying, change, do_once, save
from farmops.journal.models import Entry, Job
from farmops.journal.refusal import Refused
from farmops.selling.line_troubles import each_line
from farmops.selling.locked_day import locked_day
from farmops.selling.models import MarketDay, MarketLine, Outlet, Price
from farmops.selling.prices import prices_on
from farmops.selling.typed_stock import stored_amount

LAST_DAYS = 8  # market days that tell what is usually brought


def plan_market_day(*, saying: Saying, outlet: Outlet, held_on: date, items: Sequence[Item] | None = None) -> Done:
    """Put a market day on the list, or again after it was taken back.

    Parameters
    ----------
    saying : Saying
    outlet : Outlet
    held_on : date
    items : sequence of Item or None
        None: what was on its last lists; on the first list, whatever has a price there.

    Raises
    ------
    Refused
        If it is no market, or the day is on the list already.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        place = Outlet.objects.select_for_update(no_key=True).get(pk=outlet.pk)
        if place.kind != Outlet.Kind.MARKET:
            raise Refused(_("%(name)s is no market.") % {"name": place.name})
        day = _day(entry, place, held_on)
        _write_lines(entry, day, usual_items(place) if items is None else items)
        words = {"market": place.name, "day": day_in_words(held_on)}
        return _("%(market)s, %(day)s, is on the list") % words, {"market_day": day.pk}

    return do_once(saying, Job.PLAN, write)


def add_item(*, saying: Saying, market_day: MarketDay, item: Item) -> Done:
    """Put one more item on the list of a market day.

    Raises
    ------
    Refused
        If it stands there already.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        day = locked_day(market_day)
        if day.lines.filter(item=item, entry__corrected_by=None).exists():
            raise Refused(_("%(item)s is on this list already.") % {"item": item.name}, field="item")
        _write_lines(entry, day, [item])
        words = {"item": item.name, "market": day.outlet.name, "day": day_in_words(day.held_on)}
        return _("%(item)s is on the list of %(market)s, %(day)s") % words, {"market_day": day.pk}

    return do_once(saying, Job.PLAN, write)


def set_own_number(
    *,
    saying: Saying,
    market_day: MarketDay,
    typed: Mapping[int, str],
    advised: Mapping[int, int] | None = None,
    yes: frozenset[str] = frozenset(),
) -> Done:
    """The grower's own number of each line, by the line's key; an empty one takes it away.

    What was `advised` when they were typed is kept beside them: it counts where a line has no own number.

    Raises
    ------
    Refused, NeedsYes
        If some cannot be read, as `each_line`.
    """

    def write(entry: Entry) -> tuple[str, Mapping[str, object]]:
        day = locked_day(market_day)
        lines = list(live_lines(day).filter(pk__in=typed))
        numbers = each_line(lines, lambda line: _own_number(line, typed[line.pk].strip(), advised or {}, yes))
        said = []
        for line in lines:
            if numbers[line.pk] != line.own_number:
                change(entry, line, own_number=numbers[line.pk])
                said.append(f"{line.item.name} {typed[line.pk].strip() or '–'}")
            if advised and line.pk in advised:
                change(entry, line, advised=advised[line.pk])
        words = {"market": day.outlet.name, "numbers": ", ".join(said) or _("as they were")}
        return _("My numbers for %(market)s: %(numbers)s") % words, {"market_day": day.pk}

    return do_once(saying, Job.PLAN, write)


def _own_number(line: MarketLine, text: str, advised: Mapping[int, int], yes: frozenset[str]) -> int | None:
    if not text:
        return None
    usual = advised.get(line.pk) or line.advised
    return stored_amount(text, line.unit, field=f"own-{line.pk}", yes=yes, may_be_zero=True, usual=usual)


def usual_items(outlet: Outlet) -> list[Item]:
    """What stood on the last lists of a market; before the first one, what has a price there."""
    lines = MarketLine.objects.filter(market_day__outlet=outlet, entry__corrected_by=None)
    last = MarketDay.objects.filter(outlet=outlet, entry__corrected_by=None).order_by("-held_on")[:LAST_DAYS]
    known = Item.objects.filter(market_lines__in=lines.filter(market_day__in=[day.pk for day in last])).distinct()
    found = list(known) or _priced(outlet)
    return sorted(found, key=lambda item: natural_key(item.name))


def live_lines(day: MarketDay) -> Any:  # a queryset of MarketLine; its generic name is not known at run time
    """Lines of a day that nobody took back, with their items."""
    return day.lines.filter(entry__corrected_by=None).select_related("item")


def _priced(outlet: Outlet) -> list[Item]:
    prices = Price.objects.filter(outlet__in=[None, outlet.pk]) | Price.objects.filter(outlet=None)
    return list(Item.objects.filter(prices__in=prices).distinct())


def _day(entry: Entry, outlet: Outlet, held_on: date) -> MarketDay:
    hours = {"opens_minute": outlet.opens_minute, "closes_minute": outlet.closes_minute}
    there = MarketDay.objects.filter(outlet=outlet, held_on=held_on).select_related("entry__corrected_by").first()
    if there is None:
        day = MarketDay(outlet=outlet, held_on=held_on, entry=entry, **hours)
        save(day)
        return day
    if not hasattr(there.entry, "corrected_by"):
        words = {"market": outlet.name, "day": day_in_words(held_on)}
        raise Refused(_("%(market)s, %(day)s, is on the list already.") % words)
    change(entry, there, entry=entry, **hours)
    return there


def _write_lines(entry: Entry, day: MarketDay, items: Sequence[Item]) -> None:
    prices = prices_on(items, day.outlet, day.held_on)
    costs = _last_costs(items, day)
    there = {line.item_id: line for line in day.lines.all()}
    for item in items:
        facts = {
            "unit": item.unit,
            "step": item.step,
            "price_cents": prices.get(item.pk),
            "leftover_value_cents": item.leftover_value_cents,
            **costs.get(item.pk, {}),
        }
        if item.pk in there:
            change(entry, there[item.pk], entry=entry, **facts)
        else:
            save(MarketLine(market_day=day, item=item, entry=entry, **facts))


def _last_costs(items: Iterable[Item], day: MarketDay) -> dict[int, dict[str, object]]:
    """What one cost on the item's last list, at any market."""
    earlier = MarketLine.objects.filter(
        item__in=[item.pk for item in items], market_day__held_on__lt=day.held_on, entry__corrected_by=None
    )
    last = earlier.order_by().values("item").annotate(last=Max("market_day__held_on"))
    found: dict[int, dict[str, object]] = {}
    on = {row["item"]: row["last"] for row in last}
    for line in earlier.filter(market_day__held_on__in=set(on.values())).select_related("market_day").order_by("pk"):
        if line.market_day.held_on == on[line.item_id]:
            found[line.item_id] = {
                "unit_cost_cents": line.unit_cost_cents,
                "unit_cost_percent": line.unit_cost_percent,
            }
    return found
