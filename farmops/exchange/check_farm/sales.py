"""Market lines: their facts in their day, and the sum of what was brought; orders to those who take them."""

from collections import defaultdict
from collections.abc import Iterator

from django.utils.translation import gettext as _

from farmops.exchange.check_farm.wrong import Wrong
from farmops.selling.market_facts import known_line
from farmops.selling.models import BoxCount, MarketDay, MarketFact, MarketLine, Outlet, StandingOrder

Kind = MarketFact.Kind
AFTERWARDS = {Kind.SOLD_OUT, Kind.LEFT, Kind.HOME, Kind.DONATED, Kind.COMPOST, Kind.TALLIED}
MINUTES = 24 * 60


def wrong_sales() -> Iterator[Wrong]:
    """Faults of market days and of what is wanted."""
    facts: dict[int, list[MarketFact]] = defaultdict(list)
    for fact in MarketFact.objects.live().order_by("pk"):
        facts[fact.line_id].append(fact)
    lines = MarketLine.objects.filter(entry__corrected_by=None).select_related("market_day__outlet", "item")
    for line in lines.order_by("pk"):
        yield from _line(line, facts[line.pk])
    for day in MarketDay.objects.select_related("outlet").order_by("pk"):
        if day.outlet.kind != Outlet.Kind.MARKET:
            yield Wrong.of(day, _("%(outlet)s is no market.") % {"outlet": day.outlet.name}, str(day.held_on))
        if day.closed_entry_id is not None and day.status == MarketDay.Status.PLANNED:
            yield Wrong.of(day, _("Its evening is done, but it did not take place yet."), str(day.held_on))
    for order in StandingOrder.objects.live().select_related("buyer").order_by("pk"):
        if order.buyer.kind != Outlet.Kind.BUYER:
            yield Wrong.of(order, _("%(outlet)s is no regular buyer.") % {"outlet": order.buyer.name})
    for box in BoxCount.objects.live().select_related("box").order_by("pk"):
        if box.box.kind != Outlet.Kind.BOX:
            yield Wrong.of(box, _("%(outlet)s is no box.") % {"outlet": box.box.name})


def _line(line: MarketLine, facts: list[MarketFact]) -> Iterator[Wrong]:
    day = line.market_day
    called = f"{day.outlet.name} {day.held_on}, {line.item.name}"
    if day.status == MarketDay.Status.PLANNED and any(fact.kind in AFTERWARDS for fact in facts):
        yield Wrong.of(line, _("Something was sold or came back of a day that is only planned."), called)
    if any(fact.minute is not None and fact.minute >= MINUTES for fact in facts):
        yield Wrong.of(line, _("A time lies past midnight."), called)
    try:
        sums = known_line(day, line, facts).balance
    except ValueError as error:
        yield Wrong.of(line, _("It does not add up: %(why)s.") % {"why": error}, called)
        return
    left = [fact.amount or 0 for fact in facts if fact.kind in {Kind.LEFT, Kind.HOME, Kind.DONATED, Kind.COMPOST}]
    on_table = [fact.amount or 0 for fact in facts if fact.kind in {Kind.BROUGHT, Kind.CARRIED_IN}]
    parts = (sums.sold_by_tally, sums.unaccounted)
    if sums.unaccounted is not None and sum(on_table) != sum(part or 0 for part in parts) + sum(left):
        yield Wrong.of(line, _("Brought is not sold, came back and unaccounted together."), called)
