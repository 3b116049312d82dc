"""What a quantity opens into: the sum behind it, and the last market days it was learned from."""

from django.utils.translation import gettext as _

from farmops.core.demand import DayBack, Range, plain_means
from farmops.exchange.views.notebook_page.shown import DayLine, SumLine
from farmops.planning.bringing import ItemOutlook, Outlook
from farmops.planning.economics import COST_SHARE
from farmops.web.templatetags.formats import about_range, amount, clock, dollars, one_place, short_day

LAST_DAYS = 8


def money_range(amount: Range | None) -> str:
    """Money as "$2,100-3,400", or that no price is known."""
    return _("price not known") if amount is None else about_range(amount.low, amount.high, sign="$")


def sum_of(item: ItemOutlook, days: list[DayBack], new_price: float | None = None) -> tuple[SumLine, ...]:
    """How the quantity comes about, and what the past days cost."""
    advice, step = item.advice, item.economics.step
    usual = f"{one_place(item.mean)} ({one_place(item.mean_low)}–{one_place(item.mean_high)})"
    return (
        SumLine(_("Wanted on a usual day"), usual),
        SumLine(_("Wanted on one day: 8 days in 10 lie between"), f"{amount(item.low)}–{amount(item.high)}"),
        *_plain(item, days),
        *_at_new_price(days, new_price, item.economics.step),
        *_share_of_days(item),
        SumLine(_("Smallest amount that lasts so often: bring"), amount(item.bring)),
        SumLine(_("Of these, sold on average"), one_place(advice.sold * step)),
        SumLine(_("and left over"), one_place(advice.left * step)),
        *_past(item),
    )


def _at_new_price(days: list[DayBack], new_price: float | None, step: float) -> list[SumLine]:
    """That a price typed for the days to come changes what is wanted."""
    noted = [day.record.price / step for day in days if day.record.price is not None]
    if new_price is None or not noted or abs(new_price - noted[-1]) < 0.005:
        return []
    words = (
        _("At %(new)s instead of %(noted)s, fewer are reckoned to want it")
        if new_price > noted[-1]
        else _("At %(new)s instead of %(noted)s, more are reckoned to want it")
    )
    return [SumLine(words % {"new": dollars(new_price), "noted": dollars(noted[-1])}, _("counted above"))]


def _plain(item: ItemOutlook, days: list[DayBack]) -> list[SumLine]:
    """Averages that anybody can work out again, for comparison."""
    step, plain = item.economics.step, plain_means([day.record for day in days])
    lines = [SumLine(_("By a plain weighted average, for comparison"), one_place(item.simple_mean))]
    if plain is None:
        return lines
    sold = one_place(plain.sold * step)
    if plain.ran_out:
        words = _("Sold on average, at least: it ran out on %(out)d of %(days)d days") % {
            "out": plain.ran_out,
            "days": plain.days,
        }
        lines.append(SumLine(words, sold))
        stretched = _("If customers came evenly all day (mornings are busier, so rather too high)")
        lines.append(SumLine(stretched, one_place(plain.stretched * step)))
    else:
        lines.append(SumLine(_("Sold on average"), sold))
    if plain.sold_not_raining is not None and abs(plain.sold_not_raining - plain.sold) >= 0.05:
        lines.append(SumLine(_("Sold on average without the rainy days"), one_place(plain.sold_not_raining * step)))
    return lines


def _share_of_days(item: ItemOutlook) -> list[SumLine]:
    full = item.economics.filled()
    price, cost, worth = full.price or 0.0, full.unit_cost or 0.0, full.leftover_value or 0.0
    share = f"{item.advice.critical_ratio:.0%}"
    if item.economics.price is None:
        words = _("Price not known; with a cost of %(share)s of it, it should last on") % {"share": f"{COST_SHARE:.0%}"}
        return [SumLine(words, share)]
    if price <= worth:
        return []
    shown = f"({dollars(price)} − {dollars(cost)}) ÷ ({dollars(price)} − {dollars(worth)})"
    return [SumLine(_("Share of days it should last: %(sum)s") % {"sum": shown}, share)]


def _past(item: ItemOutlook) -> list[SumLine]:
    if item.running_out is None:
        return []
    full, step, away = item.economics.filled(), item.economics.step, item.past.turned_away
    cost, worth = dollars(full.unit_cost or 0.0), dollars(full.leftover_value or 0.0)
    missed = _("Sales missed so far, each at its day's price less %(cost)s") % {"cost": cost}
    back = _("Came back so far, each at %(cost)s less %(worth)s") % {"cost": cost, "worth": worth}
    return [
        SumLine(missed, about_range(away.low * step, away.high * step)),
        SumLine(_("Running out cost"), money_range(item.running_out)),
        SumLine(back, amount(item.past.left * step)),
        SumLine(_("Left over cost"), money_range(item.compost)),
    ]


def days_by_item(outlook: Outlook, market: str) -> dict[str, list[DayBack]]:
    """The looked-back days of one market by item, in their order."""
    found: dict[str, list[DayBack]] = {}
    for day in outlook.back.days:
        if day.record.market == market:
            found.setdefault(day.record.item, []).append(day)
    return found


def last_days(item: ItemOutlook, days: list[DayBack], most: int = LAST_DAYS) -> tuple[DayLine, ...]:
    """The last days of one item, eight unless told otherwise: brought, came back, ran out, missed."""
    step = item.economics.step
    lines = []
    for day in days[-most:]:
        record = day.record
        if record.ran_out:
            ran_out = ", ".join(clock(minute) for minute in record.ran_out_at) or _("yes, time not noted")
        else:
            ran_out = ""
        lines.append(
            DayLine(
                day=short_day(record.day),
                brought=amount((record.brought + record.carried_in) * step),
                left=_("not noted") if day.left is None else amount(day.left * step),
                ran_out=ran_out,
                missed=one_place(day.turned_away * step) if day.turned_away >= 0.05 else "",
            )
        )
    return tuple(lines)
