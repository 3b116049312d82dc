"""Market days, orders and box counts of the sheets, to rows of the tables."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from farmops.core.quantities import unit_name
from farmops.exchange.read_sheets.fits import Faults, percent
from farmops.exchange.read_sheets.names import Names
from farmops.exchange.read_sheets.plantings import New
from farmops.exchange.read_sheets.sorting import NewRow
from farmops.exchange.read_sheets.to_write import ToWrite
from farmops.planning import rows
from farmops.selling.models import BoxCount, MarketDay, MarketFact, MarketLine, StandingOrder, Want

Kind = MarketFact.Kind
PARTS = ((Kind.HOME, "taken_home"), (Kind.DONATED, "given_away"), (Kind.COMPOST, "composted"))
LINE_COLUMNS = {"price_cents": "price", "unit_cost_cents": "unit_cost", "unit_cost_percent": "unit_cost",
                "leftover_value_cents": "leftover_value"}  # fmt: skip


def add_sales(new: New, names: Names, to_write: ToWrite, faults: Faults, today: date) -> None:
    """Everything that says what is wanted, brought and left."""
    for line in new.get("market_days", ()):
        if _is_known(line, names, faults):
            _market_line(line, names, to_write, faults, today)
    for order in new.get("standing_orders", ()):
        _order(order, names, to_write, faults, today)
    for box in new.get("box_counts", ()):
        _box_count(box, names, to_write, faults, today)
    for want in new.get("single_wants", ()):
        _want(want, names, to_write, faults, today)


def _is_known(row: NewRow[rows.MarketDay], names: Names, faults: Faults) -> bool:
    """Records of a market or an item that is no more need it all the same: nothing can be kept of nothing."""
    for column, name, known in (("market", row.row.market, names.outlets), ("item", row.row.item, names.items)):
        if name not in known:
            sheet = "outlets" if column == "market" else "items"
            faults.add(row, column,
                       _("“%(name)s” does not stand in the sheet %(sheet)s.") % {"name": name, "sheet": sheet},
                       _("Add it there, also if it is no more."))  # fmt: skip
    return row.row.market in names.outlets and row.row.item in names.items


def _market_line(row: NewRow[rows.MarketDay], names: Names, to_write: ToWrite, faults: Faults, today: date) -> None:
    said = row.row
    day = _market_day(row, names, to_write, faults, today)
    cost, is_share = said.unit_cost or (None, False)
    own = said.own_number
    if said.status == MarketDay.Status.PLANNED and own is None and said.brought != said.advised:
        own = said.brought
    unit = unit_name(said.unit)
    line = MarketLine(
        market_day=day,
        item=names.items[said.item],
        unit=unit,
        step=faults.stored_or_none(said.step, unit, row, "step"),
        price_cents=faults.cents_or_none(said.price, row, "price"),
        unit_cost_cents=None if is_share else faults.cents_or_none(cost, row, "unit_cost"),
        unit_cost_percent=percent(cost) if cost is not None and is_share else None,
        leftover_value_cents=faults.cents_or_none(said.leftover_value, row, "leftover_value"),
        advised=faults.stored_or_none(said.advised, unit, row, "advised"),
        own_number=faults.stored_or_none(own, unit, row, "own_number"),
        guess=faults.stored_or_none(said.guess, unit, row, "guess"),
        entry=to_write.entry_of(row, said.date),
    )
    faults.check(line, row, LINE_COLUMNS)
    to_write.add(line, row)
    for fact in _facts(row, faults):
        kind, amount, minute = fact.kind, fact.amount, fact.minute
        stored = faults.stored_or_none(amount, unit, row, fact.column)
        to_write.add(
            MarketFact(
                line=line,
                kind=kind,
                amount=stored,
                minute=minute,
                price_cents=faults.cents_or_none(fact.price, row, "price_changes"),
                price_for=fact.price_for,
                entry=to_write.entry_of(row, said.date),
            ),
            row,
        )


def _market_day(row: NewRow[rows.MarketDay], names: Names, to_write: ToWrite, faults: Faults, today: date) -> MarketDay:
    """The day of a line: one for all its lines, which must say the same of it."""
    said = row.row
    there = names.market_days.get((said.market, said.date))
    if there is not None:
        for column, says, has in (
            ("opens", said.opens, there.opens_minute),
            ("closes", said.closes, there.closes_minute),
            ("weather", said.weather, there.weather),
            ("status", said.status, there.status),
            ("left_at", said.left_at, there.left_minute),
        ):
            if says != has:
                shown = f"{has // 60:02d}:{has % 60:02d}" if isinstance(has, int) else has or _("nothing")
                faults.differs(row, column, shown)
        return there
    entry = to_write.entry_of(row, said.date)
    day = MarketDay(
        outlet=names.outlets[said.market],
        held_on=said.date,
        opens_minute=said.opens,
        closes_minute=said.closes,
        status=said.status,
        weather=said.weather,
        left_minute=said.left_at,
        closed_entry=entry if said.status != MarketDay.Status.PLANNED and said.date < today else None,
        entry=entry,
    )
    if said.closes <= said.opens:
        faults.closes_too_early(row)
    names.market_days[said.market, said.date] = day
    to_write.add(day, row)
    return day


@dataclass(frozen=True, slots=True)
class _Fact:
    kind: str
    column: str
    amount: Decimal | None = None
    minute: int | None = None
    price: Decimal | None = None
    price_for: int | None = None


def _facts(row: NewRow[rows.MarketDay], faults: Faults) -> Iterator[_Fact]:
    """What is known of a line; what a cell leaves empty is not known."""
    said = row.row
    if said.brought is not None and said.status != MarketDay.Status.PLANNED:
        yield _Fact(Kind.BROUGHT, "brought", said.brought)
    if said.carried_in is not None:
        yield _Fact(Kind.CARRIED_IN, "carried_in", said.carried_in)
    at = () if said.restocked_at is None or said.restocked is None else ((said.restocked_at, said.restocked),)
    yield from _timed(Kind.RESTOCKED, row, "restocked", said.restocked, said.restocks or at, faults)
    backs = set(said.back_at)
    if said.restocked is None and said.restocked_at is not None:
        backs.add(said.restocked_at)
    if backs & set(said.sold_out_at):
        faults.add(row, "back_at", _("It cannot run out and be there again in the same minute."),
                   _("Correct one of the times."))  # fmt: skip
    if any(minute < said.opens for minute in said.sold_out_at):
        faults.add(row, "sold_out_at", _("It cannot run out before the market opens."),
                   _("Correct the time, or write when it opened that day."))  # fmt: skip
    yield from (_Fact(Kind.SOLD_OUT, "sold_out_at", minute=minute) for minute in sorted(set(said.sold_out_at)))
    if said.sold_out:
        yield _Fact(Kind.SOLD_OUT, "sold_out")
    yield from (_Fact(Kind.BACK, "back_at", minute=minute) for minute in sorted(backs))
    yield from (
        _Fact(Kind.PRICE, "price_changes", minute=minute, price=price, price_for=None if count == 1 else count)
        for minute, count, price in said.price_changes
    )
    yield from _timed(Kind.TALLIED, row, "sold", said.sold, said.counted, faults)
    yield from _came_back(row, faults)


def _timed(
    kind: str,
    row: NewRow[rows.MarketDay],
    column: str,
    total: Decimal | None,
    parts: tuple[tuple[int, Decimal], ...],
    faults: Faults,
) -> Iterator[_Fact]:
    """A total, part of it with its times."""
    known = sum((amount for _minute, amount in parts), Decimal(0))
    yield from (_Fact(kind, column, amount, minute) for minute, amount in parts)
    if parts and (total is None or known > total):
        faults.add(row, column, _("Its parts are more than all of it."), _("Write the sum of the parts, or more."))
    elif total is not None and (total > known or not parts):
        yield _Fact(kind, column, total - known)


def _came_back(row: NewRow[rows.MarketDay], faults: Faults) -> Iterator[_Fact]:
    said = row.row
    parts = [(kind, column, getattr(said, column)) for kind, column in PARTS if getattr(said, column) is not None]
    known = sum((amount for _kind, _column, amount in parts), Decimal(0))
    yield from (_Fact(kind, column, amount) for kind, column, amount in parts)
    if parts and (said.left_over is None or known > said.left_over):
        faults.add(row, "left_over", _("Its parts are more than all of it."), _("Write the sum of the parts, or more."))
    elif said.left_over is not None and (said.left_over > known or not parts):
        yield _Fact(Kind.LEFT, "left_over", said.left_over - known)


def _order(row: NewRow[rows.StandingOrder], names: Names, to_write: ToWrite, faults: Faults, today: date) -> None:
    said = row.row
    item = names.items[said.item]
    order = StandingOrder(
        buyer=names.outlets[said.buyer],
        item=item,
        weekday=said.weekday,
        amount=faults.stored(said.amount, item.unit, row, "amount"),
        first_on=said.first_day,
        last_on=said.last_day,
        every_weeks=said.every_weeks,
        failing_costs_cents=faults.cents_or_none(said.failing_costs, row, "failing_costs"),
        entry=to_write.entry_of(row, today),
    )
    if said.amount == 0:
        faults.nothing(row, "amount")
    faults.check(order, row, {"failing_costs_cents": "failing_costs"})
    to_write.add(order, row)


def _box_count(row: NewRow[rows.BoxCount], names: Names, to_write: ToWrite, faults: Faults, today: date) -> None:
    said = row.row
    item = names.items[said.item]
    count = BoxCount(
        box=names.outlets[said.box],
        first_week=said.week,
        last_week=said.last_week,
        size=said.size,
        boxes=said.boxes,
        item=item,
        amount=faults.stored(said.amount, item.unit, row, "amount"),
        value_cents=faults.cents_or_none(said.value, row, "value"),
        failing_costs_cents=faults.cents_or_none(said.failing_costs, row, "failing_costs"),
        entry=to_write.entry_of(row, today),
    )
    if said.amount == 0:
        faults.nothing(row, "amount")
    faults.check(count, row, {"value_cents": "value", "failing_costs_cents": "failing_costs"})
    to_write.add(count, row)


def _want(row: NewRow[rows.SingleWant], names: Names, to_write: ToWrite, faults: Faults, today: date) -> None:
    said = row.row
    item = names.items[said.item]
    want = Want(
        outlet=names.outlets[said.outlet],
        item=item,
        wanted_on=said.day,
        amount=faults.stored(said.amount, item.unit, row, "amount"),
        replaces_standing=said.instead,
        note=said.note,
        entry=to_write.entry_of(row, today),
    )
    if said.amount == 0 and not said.instead:
        faults.nothing(row, "amount")
    faults.check(want, row, {})
    to_write.add(want, row)
