"""Market days of the tables, one row for each line: what is known of it put together from its facts.

Two years of them are thousands of lines, so they are read as plain columns.
"""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from farmops.growing.models import ItemPart
from farmops.planning import rows
from farmops.planning.stored import amount_of, amount_or_none, key_from, money_of, money_or_none
from farmops.selling.models import MarketDay, MarketFact, MarketLine

Kind = MarketFact.Kind
CAME_BACK = (Kind.LEFT, Kind.HOME, Kind.DONATED, Kind.COMPOST)


class _Fact(NamedTuple):
    """Columns of a fact, by their names there."""

    line_id: int
    kind: str
    amount: int | None
    minute: int | None
    price_cents: int | None
    price_for: int | None


class _Line(NamedTuple):
    """Columns of a line, of its day and of what both name."""

    pk: int
    source: str
    once_key: str
    item: str
    unit: str
    step: int | None
    price_cents: int | None
    unit_cost_cents: int | None
    unit_cost_percent: Decimal | None
    leftover_value_cents: int | None
    advised: int | None
    own_number: int | None
    guess: int | None
    held_on: date
    market: str
    opens: int
    closes: int
    status: str
    weather: str
    left_at: int | None


_OF_LINE = (
    "pk", "entry__source", "entry__once_key", "item__name", "unit", "step", "price_cents", "unit_cost_cents",
    "unit_cost_percent", "leftover_value_cents", "advised", "own_number", "guess", "market_day__held_on",
    "market_day__outlet__name", "market_day__opens_minute", "market_day__closes_minute", "market_day__status",
    "market_day__weather", "market_day__left_minute",
)  # fmt: skip


def market_rows(since: date | None = None, of_variety: str = "") -> tuple[rows.MarketDay, ...]:
    """Every line of the market days held since a day, oldest first, or of what is made of one variety. Two queries."""
    lines = MarketLine.objects.filter(entry__corrected_by=None)
    facts = MarketFact.objects.live()
    if since is not None:
        # By the days' keys: from a range of days a database may go through all facts of all years instead.
        days = MarketDay.objects.filter(held_on__gte=since).values("pk")
        lines = lines.filter(market_day__in=days)
    if of_variety:
        lines = lines.filter(item__in=ItemPart.objects.filter(variety__name=of_variety).values("item"))
    if since is not None or of_variety:
        facts = facts.filter(line__in=lines.values("pk"))
    of_line: dict[int, list[_Fact]] = defaultdict(list)
    for fact in map(_Fact._make, facts.order_by("pk").values_list(*_Fact._fields)):
        of_line[fact.line_id].append(fact)
    ordered = lines.order_by("market_day__held_on", "market_day", "pk").values_list(*_OF_LINE)
    return tuple(_row(line, of_line.get(line.pk, ())) for line in map(_Line._make, ordered))


def _row(line: _Line, facts: Sequence[_Fact]) -> rows.MarketDay:
    def sum_of(*kinds: str) -> Decimal | None:
        amounts = [fact.amount or 0 for fact in facts if fact.kind in kinds]
        return amount_of(sum(amounts), line.unit) if amounts else None

    restocks = _timed(Kind.RESTOCKED, facts, line.unit)
    is_ahead = line.status == MarketDay.Status.PLANNED
    backs, outs = _touches(facts)
    return rows.MarketDay(
        key=key_from(line.source, line.once_key),
        date=line.held_on,
        market=line.market,
        opens=line.opens,
        closes=line.closes,
        item=line.item,
        unit=line.unit,
        price=money_or_none(line.price_cents),
        brought=_meant(line) if is_ahead else sum_of(Kind.BROUGHT),
        left_over=sum_of(*CAME_BACK),
        restocked=sum_of(Kind.RESTOCKED),
        restocked_at=restocks[0][0] if restocks else None,
        sold_out_at=tuple(sorted(outs - backs)),
        sold_out="yes" if any(fact.kind == Kind.SOLD_OUT and fact.minute is None for fact in facts) else "",
        back_at=tuple(sorted(backs - outs)),
        sold=sum_of(Kind.TALLIED),
        carried_in=sum_of(Kind.CARRIED_IN),
        unit_cost=_unit_cost(line),
        leftover_value=money_or_none(line.leftover_value_cents),
        step=amount_or_none(line.step, line.unit),
        guess=amount_or_none(line.guess, line.unit),
        weather=line.weather,
        status=line.status,
        left_at=line.left_at,
        restocks=restocks if len(restocks) > 1 else (),
        taken_home=sum_of(Kind.HOME),
        given_away=sum_of(Kind.DONATED),
        composted=sum_of(Kind.COMPOST),
        counted=_timed(Kind.TALLIED, facts, line.unit),
        price_changes=tuple(
            (fact.minute, fact.price_for or 1, money_of(fact.price_cents or 0))
            for fact in facts
            if fact.kind == Kind.PRICE and fact.minute is not None
        ),
        advised=amount_or_none(line.advised, line.unit),
        own_number=amount_or_none(line.own_number, line.unit),
    )


def _meant(line: _Line) -> Decimal | None:
    """For a day to come: the grower's own number, else what was advised."""
    return amount_or_none(line.own_number if line.own_number is not None else line.advised, line.unit)


def _touches(facts: Sequence[_Fact]) -> tuple[set[int], set[int]]:
    """When it was back on the table, and when that was empty; of a touch taken back at once nothing is left."""
    backs = {fact.minute for fact in facts if fact.kind == Kind.BACK and fact.minute is not None}
    return backs, {fact.minute for fact in facts if fact.kind == Kind.SOLD_OUT and fact.minute is not None}


def _timed(kind: str, facts: Sequence[_Fact], unit: str) -> tuple[tuple[int, Decimal], ...]:
    """Minute and amount of each fact of a kind whose time is known."""
    return tuple(
        (fact.minute, amount_of(fact.amount or 0, unit))
        for fact in facts
        if fact.kind == kind and fact.minute is not None
    )


def _unit_cost(line: _Line) -> tuple[Decimal, bool] | None:
    if line.unit_cost_percent is not None:
        return line.unit_cost_percent / 100, True
    cost = money_or_none(line.unit_cost_cents)
    return None if cost is None else (cost, False)
