"""Items, promises and market demand of the weeks a plan looks at, as the weekly programme takes them.

Markets come with the whole spread of their demand at the day's distance, never with a quantity already padded: the
programme weighs it against room and promises, and losses of growing are taken off on the side of supply alone.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.demand import Ask, Learned, MarketRecord, forecast, learn
from farmops.core.quantities import cents
from farmops.core.sizing import Item, Market, Promise, market_pieces
from farmops.planning.horizon import Horizon, Products
from farmops.planning.rows import FarmRows
from farmops.planning.wants import MarketDate, Want, market_dates, market_records, price_of, promises
from farmops.selling.typed_stock import money_in_words

BEYOND_WEEKS = 20
BROUGHT_WITHIN = timedelta(days=400)  # an item not brought to a market for longer is not planned for it
SURE_ENOUGH = 1e-9
FEW_DAYS = 3  # from so many days on an item's own days say more than others' do


@dataclass(frozen=True, slots=True)
class Needs:
    """What the programme is given about wants.

    Attributes
    ----------
    items : tuple of Item
        What is sold, and varieties that only go into mixes.
    promises : tuple of Promise
    markets : tuple of Market
    wants : mapping of promise key to Want
    market_days : mapping of market key to MarketDate
    notes : list of str
        What was left out or changed for the programme, in words.
    learned : Learned, optional
        What is known of the customers.
    """

    items: tuple[Item, ...]
    promises: tuple[Promise, ...]
    markets: tuple[Market, ...]
    wants: Mapping[str, Want]
    market_days: Mapping[str, MarketDate]
    notes: list[str] = field(default_factory=list)
    learned: Learned | None = None


def needs_of(
    rows: FarmRows,
    products: Products,
    horizon: Horizon,
    learned: Learned | None = None,
    stock: Mapping[str, tuple[float, ...]] | None = None,
) -> Needs:
    """Everything wanted from the first week to the last, and mean needs for twenty weeks beyond.

    `learned`: what is known of the customers, where it was learned from these market days already. `stock`: what lies
    in the cold room, by item and weeks it keeps.
    """
    records, notes = market_records(rows, horizon.as_of)
    learned = learned or learn(records, as_of=horizon.as_of, guesses=market_guesses(rows, horizon.as_of))
    first, beyond_end = max(horizon.start, horizon.as_of), horizon.end + timedelta(weeks=BEYOND_WEEKS)
    wants = [want for want in promises(rows, first, beyond_end) if want.item in products.items]
    dates = market_dates(rows, first, beyond_end)
    brought = _brought_where(records, horizon.as_of)
    made, wanted, markets, days = [], {}, [], {}
    later: dict[str, list[float]] = defaultdict(lambda: [0.0] * BEYOND_WEEKS)
    for number, want in enumerate(wants):
        if want.day >= horizon.end:
            later[want.item][horizon.week(want.day) - horizon.weeks] += float(want.amount)
            continue
        key = f"{want.day} {want.outlet}: {want.item} #{number}"
        wanted[key] = want
        week = horizon.week(want.day)
        made.append(Promise(key, want.item, week, float(want.amount), float(want.price), float(want.failing_costs)))
    for market in dates:
        for item in products.items:
            if not _sells_there(rows, item, market, brought):
                continue
            one = _market(rows, learned, products, market, item, horizon)
            if market.day >= horizon.end:
                later[item][horizon.week(market.day) - horizon.weeks] += one.mean
            elif one.pieces:
                markets.append(one)
                days[one.key] = market
    notes += [*_dear_leftovers(products), *_little_known(learned, markets)]
    prices = _usual_prices(made, markets)
    there = stock or {}
    items = tuple(
        replace(item, stock=there.get(item.key, ()))
        for item in (*_items(products, later, prices), *_parts(products, later, prices))
    )
    return Needs(items, tuple(made), tuple(markets), wanted, days, notes, learned)


def market_guesses(rows: FarmRows, as_of: date) -> dict[tuple[str, str], float]:
    """The latest guess noted for an item at a market, in steps."""
    steps = {item.item: item.step for item in rows.items}
    return {
        (row.market, row.item): float(row.guess / (steps.get(row.item) or row.step or Decimal(1)))
        for row in sorted(rows.market_days, key=lambda row: row.date)
        if row.guess is not None and row.date <= as_of
    }


def _brought_where(records: Sequence[MarketRecord], as_of: date) -> dict[str, set[str]]:
    """Markets each item was brought to of late."""
    found: dict[str, set[str]] = defaultdict(set)
    for record in records:
        if as_of - record.day <= BROUGHT_WITHIN and record.brought > 0:
            found[record.item].add(record.market)
    return found


def _sells_there(rows: FarmRows, item: str, market: MarketDate, brought: Mapping[str, set[str]]) -> bool:
    """Brought there of late; an item never brought anywhere goes where it has a price of its own."""
    name = market.outlet.outlet
    if item in brought:
        return name in brought[item]
    return any(price.item == item and price.outlet == name for price in rows.prices)


def _market(
    rows: FarmRows, learned: Learned, products: Products, market: MarketDate, name: str, horizon: Horizon
) -> Market:
    item = products.items[name]
    step, price = float(item.step), float(price_of(rows, name, market.outlet.outlet, market.day))
    leftover = min(float(item.leftover_value), float(item.cutting_cost), price)
    ask = Ask(
        day=market.day,
        market=market.outlet.outlet,
        item=name,
        category=item.category,
        opens=market.outlet.opens,
        closes=market.outlet.closes,
        price=price * step,
        unit_cost=float(item.cutting_cost) * step,
        leftover_value=leftover * step,
    )
    expected = forecast(learned, ask)
    chances = [float(chance) for chance in expected.probabilities]
    total = sum(chances)
    pieces = market_pieces([chance / total for chance in chances], price, leftover)
    return Market(
        f"{market.day} {market.outlet.outlet}: {name}",
        name,
        horizon.week(market.day),
        tuple(replace(piece, quantity=piece.quantity * step) for piece in pieces),
        price,
        leftover,
        expected.mean * step,
    )


def _dear_leftovers(products: Products) -> list[str]:
    return [
        _("%(item)s: a leftover counts %(cost)s, what cutting it costs, and not %(value)s; "
          "else it would pay to cut for leftovers alone.")
        % {
            "item": name,
            "cost": money_in_words(cents(item.cutting_cost)),
            "value": money_in_words(cents(item.leftover_value)),
        }
        for name, item in products.items.items()
        if item.leftover_value > item.cutting_cost
    ]  # fmt: skip


def _little_known(learned: Learned, markets: Sequence[Market]) -> list[str]:
    """Items whose demand is mostly borrowed, said so."""
    guessed = {item for _market, item in learned.guesses}
    words = []
    for item in dict.fromkeys(market.item for market in markets):
        days = len(learned.of_item.get(item, ()))
        if days == 0 and item in guessed:
            words.append(_("%(item)s: no market day is noted yet; your guess stands for one.") % {"item": item})
        elif days == 0:
            words.append(
                _("%(item)s: no market day is noted yet; what will be asked for is borrowed from what sells alike.")
                % {"item": item}
            )
        elif days < FEW_DAYS:
            words.append(
                ngettext(
                    "%(item)s: only %(days)d market day is noted; the rest is borrowed from what sells alike.",
                    "%(item)s: only %(days)d market days are noted; the rest is borrowed from what sells alike.",
                    days,
                )
                % {"item": item, "days": days}
            )
    return words


def _usual_prices(made: Sequence[Promise], markets: Sequence[Market]) -> dict[str, float]:
    """Mean price of each item, by what is wanted at it."""
    money: dict[str, float] = defaultdict(float)
    amount: dict[str, float] = defaultdict(float)
    for promise in made:
        money[promise.item] += promise.price * promise.quantity
        amount[promise.item] += promise.quantity
    for market in markets:
        money[market.item] += market.price * market.mean
        amount[market.item] += market.mean
    return {item: money[item] / amount[item] for item in money if amount[item] > 0}


def _items(products: Products, later: Mapping[str, Sequence[float]], prices: Mapping[str, float]) -> list[Item]:
    return [
        Item(
            key=name,
            cutting=float(item.cutting_cost),
            keeps=item.keeps_days // 7,
            keep_loss=min(0.99, float(item.keep_loss)),
            beyond=tuple(later.get(name, ())),
            beyond_price=prices.get(name, 0.0),
        )
        for name, item in products.items.items()
    ]


def _parts(products: Products, later: Mapping[str, Sequence[float]], prices: Mapping[str, float]) -> list[Item]:
    """Varieties that only go into mixes, with their share of what the mixes need and bring beyond the horizon."""
    needs: dict[str, list[float]] = {}
    money: dict[str, float] = defaultdict(float)
    for mix in products.mixes:
        item = products.items[mix.item]
        weight = sum(amount for _part, amount in mix.parts)
        bare = max(0.0, prices.get(mix.item, 0.0) - float(item.cutting_cost)) / weight
        for part, amount in mix.parts:
            row = needs.setdefault(part, [0.0] * BEYOND_WEEKS)
            for week, need in enumerate(later.get(mix.item, ())):
                row[week] += need * amount
                money[part] += need * amount * bare
    return [
        Item(key=part, beyond=tuple(row), beyond_price=money[part] / sum(row) if sum(row) > SURE_ENOUGH else 0.0)
        for part, row in needs.items()
    ]
