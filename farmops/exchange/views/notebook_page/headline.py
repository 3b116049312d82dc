"""The headline figures: what running out and leftovers cost, in all and by market."""

from collections import Counter
from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.exchange.views.notebook_page.shown import MoneyLine, Shown
from farmops.exchange.views.notebook_page.sums import money_range
from farmops.planning.bringing import Outlook
from farmops.planning.economics import Economics
from farmops.web.templatetags.formats import about_range, whole


def market_sums(outlook: Outlook) -> list[MoneyLine]:
    """The two headline figures, market by market."""
    lines = []
    known = Counter(day.record.market for day in outlook.back.days if day.sold is not None)
    for market, past in outlook.back.markets.items():
        away = past.turned_away
        lines.append(
            MoneyLine(
                market,
                _("%(out)d of %(days)d item-days") % {"out": past.ran_out, "days": known[market]},
                about_range(away.low, away.high),
                money_range(past.lost) if outlook.running_out else money_range(None),
                money_range(past.compost) if outlook.compost else money_range(None),
            )
        )
    return lines


def running_out_shown(outlook: Outlook) -> Shown:
    away = outlook.back.total.turned_away
    words = _("about %(away)s sales missed after something ran out") % {"away": about_range(away.low, away.high)}
    return Shown(money_range(outlook.running_out), words)


def compost_shown(outlook: Outlook, economics: Mapping[str, Economics]) -> Shown:
    total = outlook.back.total
    pieces = whole(sum(back.left * economics[item].step for item, back in outlook.back.items.items()))
    words = _("%(pieces)s came back, at what they cost less what they were still worth") % {"pieces": pieces}
    if total.left_unknown:
        words += " · " + ngettext(
            "%(days)d day not noted", "%(days)d days not noted", total.left_unknown
        ) % {"days": total.left_unknown}  # fmt: skip
    return Shown(money_range(outlook.compost), words)


def timed_words(ran_out: int, untimed: int) -> str:
    return _("with a time noted on %(timed)d of them") % {"timed": ran_out - untimed}
