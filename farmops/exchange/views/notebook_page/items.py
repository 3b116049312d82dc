"""The items of a market with their figures, each opened into its sum, and the figures that can be changed."""

from django.utils.translation import gettext as _

from farmops.core.demand import DayBack
from farmops.exchange.figures import FarmFigures, Figure
from farmops.exchange.views.notebook_page.shown import Change, Field, ItemLine, MarketBlock, PriceLine, Shown
from farmops.exchange.views.notebook_page.sums import days_by_item, last_days, money_range, sum_of
from farmops.planning.bringing import ItemOutlook, MarketOutlook, Outlook
from farmops.planning.economics import COST_SHARE
from farmops.web.charts import DemandRange, demand_chart
from farmops.web.templatetags.formats import amount, clock, in_words, roughly

MOST_CHANGES = 5


def worth_most(outlook: Outlook) -> tuple[Change, ...]:
    """The few changes of what is brought that running out, or compost, makes worth most."""
    found = []
    for market in outlook.markets:
        for item in market.items:
            gap = item.bring - item.usually_brought
            stake = item.running_out if gap > 0 else item.compost
            if stake is None or abs(gap) < max(item.economics.step, 0.1 * item.usually_brought):
                continue
            words = _("%(market)s: bring %(bring)s %(item)s, not %(brought)s") % {
                "market": market.market,
                "bring": f"{amount(item.bring)} {item.unit}" if item.economics.step != 1 else amount(item.bring),
                "item": item.item,
                "brought": roughly(item.usually_brought),
            }
            why = _("running out cost %(money)s") if gap > 0 else _("what came back cost %(money)s")
            found.append((stake.mean, Change(words, why % {"money": money_range(stake)})))
    found.sort(key=lambda entry: -entry[0])
    return tuple(change for _stake, change in found[:MOST_CHANGES])


def _field(name: str, label: str, hint: str, typed: Figure, shown: str) -> Field:
    return Field(f"field-{name}", typed.name, label, hint, typed.text, shown, typed.trouble)


def general_fields(typed: FarmFigures) -> tuple[Field, ...]:
    share = f"{COST_SHARE:.0%}"
    return (
        _field("cost", _("What one costs to grow and pick"),
               _("a share of its price, or an amount; until you say, %(share)s, a starting guess") % {"share": share},
               typed.cost, share),
        _field("leftover", _("What a leftover is worth"),
               _("a share of its price, or an amount; until you say, nothing"), typed.leftover, "0"),
    )  # fmt: skip


def by_name(items: tuple[ItemOutlook, ...]) -> list[ItemOutlook]:
    """In the order of the alphabet, capitals or not."""
    return sorted(items, key=lambda item: item.item.casefold())


def unit_beside(item: ItemOutlook) -> str:
    """The unit, unless the name of the item says it already ("salad mix bag")."""
    return "" if item.item.casefold().split()[-1:] == [item.unit.casefold()] else item.unit


def market_block(outlook: Outlook, block: MarketOutlook, typed: FarmFigures, at: int) -> MarketBlock:
    top = max([max(item.high, item.bring, item.usually_brought) for item in block.items], default=1.0)
    line = _("Next: %(day)s, %(opens)s to %(closes)s. Learned from %(days)d of its market days.") % {
        "day": in_words(block.day),
        "opens": clock(block.opens),
        "closes": clock(block.closes),
        "days": block.days,
    }
    days = days_by_item(outlook, block.market)
    items = tuple(
        _item(item, typed, top, f"why-{at}-{number}", days.get(item.item, []))
        for number, item in enumerate(by_name(block.items))
    )
    return MarketBlock(block.market, line, amount(top), items)


def _item(item: ItemOutlook, typed: FarmFigures, top: float, identity: str, days: list[DayBack]) -> ItemLine:
    usually = clock(item.usually_out_at)
    ran_out = _("%(out)d of %(days)d days") % {"out": item.ran_out_days, "days": item.days}
    if usually:
        ran_out += _(", about %(time)s") % {"time": usually}
    elif item.untimed_days:
        ran_out += _(", time not noted")
    chart = DemandRange(item.low, item.high, item.mean_low, item.mean_high, item.usually_brought, item.bring, top)
    return ItemLine(
        id=identity,
        name=item.item,
        unit=unit_beside(item),
        bring=amount(item.bring),
        brought=roughly(item.usually_brought),
        ran_out=ran_out,
        demand=f"{amount(item.low)}–{amount(item.high)}",
        chart=demand_chart(chart),
        running_out=Shown(money_range(item.running_out)),
        compost=Shown(money_range(item.compost)),
        reason=item.reason,
        sum=sum_of(item, days, typed.items[item.item].price.value),
        days=last_days(item, days),
        guess=_guess_field(item, typed, identity),
    )


def _guess_field(item: ItemOutlook, typed: FarmFigures, identity: str) -> Field:
    label = _("My own guess of what would sell on a usual day")
    return _field(f"{identity}-guess", label, _("counts as one market day"), typed.guesses[item.market, item.item], "")


def price_lines(outlook: Outlook, typed: FarmFigures, guessed: list[str]) -> tuple[PriceLine, ...]:
    """One line for each item, whichever markets it goes to."""
    shown = {item.item: item for market in outlook.markets for item in market.items}
    lines = []
    for at, item in enumerate(by_name(tuple(shown.values()))):
        name = item.item
        full, own, assumed = item.economics.filled(), typed.items[name], item.economics.assumed
        price = "" if "price" in assumed else f"{full.price or 0:.2f}"
        hint = _("starting guess") if name in guessed else ""
        lines.append(
            PriceLine(
                name,
                unit_beside(item),
                _field(f"price-{at}", _("Price of %(item)s") % {"item": name}, "", own.price, price),
                _field(
                    f"cost-{at}",
                    _("What one %(item)s costs to grow and pick") % {"item": name},
                    hint,
                    own.cost,
                    f"{full.unit_cost or 0:.2f}",
                ),
                _field(
                    f"leftover-{at}",
                    _("What a leftover %(item)s is worth") % {"item": name},
                    "",
                    own.leftover,
                    f"{full.leftover_value or 0:.2f}",
                ),
            )
        )
    return tuple(lines)
