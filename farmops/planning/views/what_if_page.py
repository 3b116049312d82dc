"""Two plans side by side, in words."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from farmops.farm.days import day_in_words
from farmops.planning.altered_rows import Alteration, BoxesMore, MarketMore, OutOfUse, PriceChanged
from farmops.planning.plan_words import how_good
from farmops.planning.sowing_list_choice import parts_in_words
from farmops.planning.stored_answers import Stored
from farmops.selling.models.outlets import WEEKDAYS
from farmops.web.templatetags.formats import dollars, one_place, week

HALF = 0.5  # of an item: less is not worth a line
CLOSE = 0.002  # of the profit: two plans each proven to a thousandth cannot tell less apart


@dataclass(frozen=True, slots=True)
class Compared:
    """What the page shows.

    Attributes
    ----------
    said : str
        What is asked.
    gain : str
        What it would earn or cost, in a sentence.
    rows : tuple of (words, now, then)
    lines : tuple of (which sowing, now, then)
    promises : tuple of str
        Short only if it were so.
    how : str
    kept : Stored
    is_old : bool
    """

    said: str
    gain: str
    rows: tuple[tuple[str, str, str], ...]
    lines: tuple[tuple[str, str, str], ...]
    promises: tuple[str, ...]
    how: str
    kept: Stored
    is_old: bool


def compared(change: Alteration, kept: Stored, today: date) -> Compared:
    """Both plans from what is kept."""
    now, then, weeks = kept.answer["now"], kept.answer["then"], kept.answer["weeks"]
    known = _short(now["unmet"])
    how = _("Two plans of the same records over %(weeks)d weeks. As it is: %(now)s If it were so: %(then)s")
    return Compared(
        said=said(change),
        gain=_gain(now, then, weeks),
        rows=(
            (_("Earned after seed and cutting"), dollars(now["profit"]), dollars(then["profit"])),
            (_("Sales expected"), dollars(now["sales"]), dollars(then["sales"])),
            (_("Promises that fall short"), str(len(now["unmet"])), str(len(then["unmet"]))),
            (_("Kinds of space that are full"), _names(now["full"]), _names(then["full"])),
        ),
        lines=tuple(
            (
                f"{one['variety']}, {week(date.fromisoformat(one['monday']))}",
                parts_in_words(one["now"], one["part"]),
                parts_in_words(one["then"], one["part"]),
            )
            for one in kept.answer["lines"]
        ),
        promises=tuple(
            _("%(outlet)s, %(item)s: %(more)s more missing")
            % {"outlet": outlet, "item": item, "more": one_place(short - known.get((outlet, item), 0.0))}
            for (outlet, item), short in sorted(_short(then["unmet"]).items())
            if short > known.get((outlet, item), 0.0) + HALF
        ),
        how=how
        % {
            "weeks": weeks,
            "now": how_good(now["status"], now["gap"]),
            "then": how_good(then["status"], then["gap"]),
        },
        kept=kept,
        is_old=kept.is_old(today),
    )


def said(change: Alteration) -> str:
    """What is asked, in words."""
    last = None if isinstance(change, PriceChanged) else change.last
    span = _("from %(day)s") % {"day": day_in_words(change.first)}
    if last is not None:
        span = _("%(span)s until %(day)s") % {"span": span, "day": day_in_words(last)}
    if isinstance(change, MarketMore):
        words = {"outlet": change.outlet, "weekday": dict(WEEKDAYS)[change.weekday], "span": span}
        return _("%(outlet)s also on %(weekday)s, %(span)s") % words
    if isinstance(change, BoxesMore):
        words = {"box": " ".join(filter(None, (change.box, change.size))), "more": f"{change.more:+d}", "span": span}
        return _("%(more)s boxes, %(box)s, %(span)s") % words
    if isinstance(change, OutOfUse):
        return _("%(space)s out of use, %(span)s") % {"space": change.space, "span": span}
    words = {"item": change.item, "percent": f"{change.percent:+d}", "span": span}
    return _("%(item)s: price %(percent)s %%, %(span)s") % words


def _gain(now: Mapping[str, Any], then: Mapping[str, Any], weeks: int) -> str:
    gain = then["profit"] - now["profit"]
    words = {"all": dollars(abs(gain)), "a_week": dollars(abs(gain) / weeks)}
    if abs(gain) <= CLOSE * max(1.0, abs(now["profit"])):
        return _("It makes next to no difference to what is earned.")
    if gain > 0:
        return _("It would earn about %(all)s more, %(a_week)s a week.") % words
    return _("It would cost about %(all)s, %(a_week)s a week.") % words


def _short(unmet: list[Mapping[str, Any]]) -> dict[tuple[str, str], float]:
    """What is missing of promises in all, by outlet and item."""
    found: dict[tuple[str, str], float] = defaultdict(float)
    for one in unmet:
        found[one["outlet"], one["item"]] += one["short"]
    return found


def _names(kinds: list[str]) -> str:
    return ", ".join(kinds) or _("none")
