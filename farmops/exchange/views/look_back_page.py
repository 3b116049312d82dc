"""The look back as it is kept: words and figures of the notebook's page, from the farm's own records."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from statistics import median
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.demand import DayBack
from farmops.exchange.figures import FarmFigures
from farmops.exchange.views.notebook_page.gaps import tells_little, unknown
from farmops.exchange.views.notebook_page.headline import compost_shown, market_sums, running_out_shown, timed_words
from farmops.exchange.views.notebook_page.items import by_name, market_block, worth_most
from farmops.exchange.views.notebook_page.sums import LAST_DAYS, days_by_item, last_days
from farmops.growing.models import ItemPart
from farmops.planning.bringing import ItemOutlook, MarketOutlook
from farmops.planning.look_back import LookBack
from farmops.planning.stored_answers import Json, Stored
from farmops.selling.models import MarketLine
from farmops.web.charts import DemandRange, demand_chart
from farmops.web.templatetags.formats import clock, in_words, short_day, whole

LineKey = tuple[str, date, str]  # market, day, item
Line = tuple[int, int]  # market day and line, by their numbers


def lines_of(back: LookBack) -> dict[LineKey, Line]:
    """The line of each item of each market day looked back at. One query."""
    held = MarketLine.objects.filter(market_day__held_on__range=(back.first, back.as_of), entry__corrected_by=None)
    found = held.values_list("market_day__outlet__name", "market_day__held_on", "item__name", "market_day", "pk")
    return {(market, day, item): (day_number, line) for market, day, item, day_number, line in found}


def sown_as() -> dict[str, list[list[object]]]:
    """What each item is made of: number and name of its varieties. One query."""
    found: dict[str, list[list[object]]] = defaultdict(list)
    parts = ItemPart.objects.order_by("pk").values_list("item__name", "variety", "variety__name")
    for item, variety, name in parts:
        found[item].append([variety, name])
    return found


def look_back_answer(
    back: LookBack, lines: Mapping[LineKey, Line], made_of: Mapping[str, list[list[object]]], old: Stored | None
) -> tuple[Json, Json]:
    """The page, and every day of every item, as they are kept."""
    outlook, economics = back.outlook, dict(back.economics)
    places = sorted({(day.record.market, day.record.item) for day in outlook.back.days})
    typed = FarmFigures.read({}, economics, places)
    total = outlook.back.total
    blocks, days, before = [], {}, _brought_before(old)
    for at, market in enumerate(outlook.markets):
        block = market_block(outlook, market, typed, at)
        of_item = days_by_item(outlook, market.market)
        items = []
        for shown, item in zip(block.items, by_name(market.items), strict=True):
            key = f"{market.market}|{item.item}"
            days[key] = _days(item, of_item.get(item.item, []), lines)
            of_it = _item(shown, item, market, key, days[key], before.get(key))
            of_it |= _counts(item, of_item.get(item.item, []))
            items.append({**of_it, "sown_as": made_of.get(item.item, [])})
        blocks.append({"name": block.name, "line": _next(market, back), "top": block.top, "items": items})
    answer = {
        "first": back.first.isoformat(),
        "last": back.as_of.isoformat(),
        "read_line": _read_line(back),
        "running_out": asdict(running_out_shown(outlook)),
        "compost": asdict(compost_shown(outlook, economics)),
        "ran_out_days": total.ran_out,
        "item_days": sum(day.sold is not None for day in outlook.back.days),
        "timed_words": timed_words(total.ran_out, total.untimed),
        "changes": [asdict(change) for change in worth_most(outlook)],
        "parts": [asdict(part) for part in market_sums(outlook)],
        "markets": blocks,
        "tells_little": list(tells_little(outlook)),
        "unknown": [*unknown(outlook, typed.guessed_costs(economics), economics), *_more_unknown(back)],
        "left_out": list(back.notes),
        "was": _was(old),
    }
    return answer, {"days": days}


def _item(
    shown: Any,  # an ItemLine, whose chart is drawn anew when it is shown
    item: ItemOutlook,
    market: MarketOutlook,
    key: str,
    days: list[list[object]],
    before: str | None,
) -> Json:
    top = max([max(one.high, one.bring, one.usually_brought) for one in market.items], default=1.0)
    return {
        "id": shown.id,
        "key": key,
        "name": shown.name,
        "unit": shown.unit,
        "bring": shown.bring,
        "brought": shown.brought,
        "demand": shown.demand,
        "range": [item.low, item.high, item.mean_low, item.mean_high, item.usually_brought, item.bring, top],
        "running_out": asdict(shown.running_out),
        "compost": asdict(shown.compost),
        "reason": shown.reason,
        "sum": [asdict(line) for line in shown.sum],
        "days": days[-LAST_DAYS:],
        "all_days": len(days),
        "was": before if before is not None and before != shown.bring else "",
    }


def _counts(item: ItemOutlook, days: list[DayBack]) -> Json:
    """On how many of the days looked back at it ran out; and where more days were learned from, how many."""
    known = [day for day in days if day.sold is not None]
    out = [day.record for day in known if day.record.ran_out]
    times = [minute for record in out for minute in record.ran_out_at]
    ran_out = _("%(out)d of %(days)d days") % {"out": len(out), "days": len(known)}
    if times:
        ran_out += _(", about %(time)s") % {"time": clock(round(median(times)))}
    elif out:
        ran_out += _(", time not noted")
    words = _(
        "That counts all %(all)d days of the last two years on which it was there and its sales are known; "
        "what stands beside and below counts the %(here)d of the last 52 weeks."
    )
    differs = item.days != len(known)
    return {"ran_out": ran_out, "counts": words % {"all": item.days, "here": len(known)} if differs else ""}


def _days(item: ItemOutlook, days: list[DayBack], lines: Mapping[LineKey, Line]) -> list[list[object]]:
    """Every day looked back at: where it stands, and its row."""
    shown = last_days(item, days, most=len(days) or 1)
    return [
        [
            *lines.get((day.record.market, day.record.day, day.record.item), (None, None)),
            short_day(day.record.day),
            row.brought,
            row.left,
            row.ran_out,
            row.missed,
        ]
        for day, row in zip(days, shown, strict=True)
    ]


def _next(market: MarketOutlook, back: LookBack) -> str:
    """A market that is over has no next day."""
    line = _("No day of it is coming within a year.")
    if market.market in back.coming:
        line = _("Next: %(day)s, %(opens)s to %(closes)s.") % {
            "day": in_words(market.day),
            "opens": clock(market.opens),
            "closes": clock(market.closes),
        }
    learned = back.learned_days[market.market]
    words = ngettext(
        "Learned from %(days)d of its market days", "Learned from %(days)d of its market days", learned
    ) % {"days": learned}
    if learned != market.days:
        words = _("%(learned)s; looked back at the %(days)d of the last 52 weeks") % {
            "learned": words,
            "days": market.days,
        }
    return f"{line} {words}."


def _read_line(back: LookBack) -> str:
    held = len({(day.record.day, day.record.market) for day in back.outlook.back.days})
    items = len({day.record.item for day in back.outlook.back.days})
    return ", ".join(
        [
            _("%(first)s to %(last)s") % {"first": in_words(back.first), "last": in_words(back.as_of)},
            ngettext("%(count)s market day", "%(count)s market days", held) % {"count": whole(held)},
            ngettext("%(count)s item", "%(count)s items", items) % {"count": items},
        ]
    )


def _more_unknown(back: LookBack) -> list[str]:
    lines = [_("What was taken home or given away counts like all that came back: as a leftover.")]
    if back.dear_leftovers:
        lines.append(
            _("A leftover of %(items)s is noted as worth what it cost, or more: it is reckoned a little lower.")
            % {"items": ", ".join(back.dear_leftovers)}
        )
    return lines


def _brought_before(old: Stored | None) -> dict[str, str]:
    """What the answer before said to bring, by market and item."""
    markets = old.answer["markets"] if old else []
    return {item["key"]: item["bring"] for block in markets for item in block["items"]}


def _was(old: Stored | None) -> Json | None:
    """The headline of the answer before."""
    if old is None:
        return None
    return {"running_out": old.answer["running_out"]["shown"], "compost": old.answer["compost"]["shown"]}


def with_charts(answer: Mapping[str, Any]) -> Json:
    """What was kept, with the charts drawn and the headline of before only where it was another."""
    was = answer["was"] or {}
    return {
        **answer,
        "first": date.fromisoformat(answer["first"]),
        "last": date.fromisoformat(answer["last"]),
        "running_out_was": was.get("running_out") if was.get("running_out") != answer["running_out"]["shown"] else "",
        "compost_was": was.get("compost") if was.get("compost") != answer["compost"]["shown"] else "",
        "markets": [
            {
                **block,
                "items": [{**item, "chart": demand_chart(DemandRange(*item["range"]))} for item in block["items"]],
            }
            for block in answer["markets"]
        ],
    }
