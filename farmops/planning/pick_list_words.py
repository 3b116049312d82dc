"""A pick list as text: totals for each item with the split, what to cut where, and what is not on it and why."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.calendar import week_of
from farmops.core.quantities import is_mass, rounded
from farmops.planning.amount_words import amount_in_words
from farmops.planning.day_needs import NoHarvestDay
from farmops.planning.picking import CutLine, ItemLine, MixLine, PickList
from farmops.planning.picking_waits import Blocked
from farmops.waiting.wait_words import moment_in_words, wait_in_words


def _figure(amount: Decimal, unit: str, digits: int = 1) -> str:
    """The number alone."""
    return amount_in_words(amount, unit, digits).split(" ")[0]


def day_in_words(day: date) -> str:
    return date_format(day, "D j M")


def as_text(answer: PickList) -> str:
    """The whole list; fits a page of plain text."""
    day = answer.needs.day
    lines = [_("Pick list for %(day)s (%(week)s)") % {"day": date_format(day, "l j F Y"), "week": week_of(day)}, ""]
    for line in answer.items:
        lines.append(_item_in_words(line))
    if not answer.items:
        lines.append(_("Nothing is wanted from this day's harvest."))
    if answer.cuts:
        lines += ["", _("Cut:")]
        for cut in answer.cuts:
            lines += _cut_in_words(cut)
    for mix in answer.mixes:
        lines.append(mix_in_words(mix))
    if answer.needs.without_day:
        lines += ["", _("Not on this list:")]
        lines += [f"  {without_day_in_words(one)}" for one in answer.needs.without_day]
    if answer.blocked:
        lines += ["", _("DO NOT CUT:")]
        lines += [f"  {blocked_in_words(one)}" for one in answer.blocked]
    return "\n".join(lines)


def _item_in_words(line: ItemLine) -> str:
    """What can be packed first, then what is wanted, if that is more; then for whom."""
    unit = line.item.unit
    split: dict[tuple[date, str], list[Decimal]] = defaultdict(lambda: [Decimal(0), Decimal(0)])
    for want, got in zip(line.wants, line.got, strict=True):
        split[want.day, want.outlet][0] += got
        split[want.day, want.outlet][1] += want.amount
    parts = [f"{_of(got, wanted, unit)} {day_in_words(day)} {outlet}" for (day, outlet), (got, wanted) in split.items()]
    words = {"item": line.item.item, "for_whom": " + ".join(parts), "wanted": amount_in_words(line.total, unit, 2)}
    if not line.made and line.blocked:
        words["until"] = _until_in_words(line.blocked)
        return _("%(item)s: DO NOT CUT%(until)s; %(wanted)s wanted, 0 to pack = %(for_whom)s") % words
    return f"{words['item']}: {_of(line.made, line.total, unit)} = {words['for_whom']}"


def _of(got: Decimal, wanted: Decimal, unit: str) -> str:
    """ "40 lb", or "38 of 62 bags" where it is less than wanted; weights to a hundredth, for quarters of a pound."""
    if got >= wanted:
        return amount_in_words(wanted, unit, 2)
    return _("%(got)s of %(wanted)s") % {"got": _figure(got, unit, 2), "wanted": amount_in_words(wanted, unit, 2)}


def _cut_in_words(cut: CutLine) -> list[str]:
    """One line that can be worked from alone: what to cut really, or DO NOT CUT; then where."""
    words = {
        "variety": cut.variety,
        "cut": amount_in_words(cut.cut, cut.unit),
        "figure": _figure(cut.cut, cut.unit),
        "packed": amount_in_words(cut.packed, cut.unit),
        "wanted": amount_in_words(cut.wanted, cut.unit),
    }
    is_short = rounded(cut.short, 1 if is_mass(cut.unit) else 0) > 0
    if not cut.sources and cut.blocked:
        words["until"] = _until_in_words(cut.blocked)
        return [_("  %(variety)s: DO NOT CUT%(until)s; %(wanted)s wanted, 0 to cut") % words, *_not_to_cut(cut)]
    if not cut.sources:
        return [_("  %(variety)s: cut 0, none is ready; %(wanted)s wanted") % words]
    if is_short:
        words["short"] = amount_in_words(cut.short, cut.unit)
        line = _("  %(variety)s: cut %(figure)s of %(wanted)s wanted (%(packed)s packed), SHORT %(short)s") % words
    else:
        line = _("  %(variety)s: cut %(cut)s for %(packed)s packed") % words
        if cut.cut - cut.wanted > Decimal("0.05"):
            line += _(", where the recipes ask for %(wanted)s") % words
    lines = [line]
    for source in cut.sources:
        lines.append(
            _("      %(amount)s from %(planting)s in %(spaces)s")
            % {
                "amount": amount_in_words(source.amount, cut.unit),
                "planting": source.planting,
                "spaces": ", ".join(source.spaces) or _("a space not noted"),
            }
        )
    return lines + _not_to_cut(cut)


def _not_to_cut(cut: CutLine) -> list[str]:
    return [f"      {blocked_in_words(one)}" for one in cut.blocked]


def mix_in_words(mix: MixLine) -> str:
    words = {
        "item": mix.item.item,
        "made": _of(mix.made, mix.wanted, mix.item.unit),
        "parts": ", ".join(
            _("%(variety)s %(share)s %% (recipe %(recipe)s %%)")
            % {"variety": part.variety, "share": _percent(part.share), "recipe": _percent(part.recipe)}
            for part in mix.parts
        ),
    }
    if mix.is_changed and mix.made:
        return _("%(item)s: %(made)s, mixed inside the recipe's limits: %(parts)s. Label what is really in it.") % words
    if not mix.made:
        return _("%(item)s: %(made)s; there is not enough of its parts for everything that is wanted.") % words
    return _("%(item)s: %(made)s, by the recipe; there is not enough of every part.") % words


def _percent(share: Decimal) -> str:
    return f"{rounded(100 * share, 0)}"


def without_day_in_words(one: NoHarvestDay) -> str:
    return ngettext(
        "%(item)s: %(amount)s for %(weekday)s has no harvest day (it would be %(kept)d day old and keeps %(keeps)d)",
        "%(item)s: %(amount)s for %(weekday)s has no harvest day (it would be %(kept)d days old and keeps %(keeps)d)",
        one.days_kept,
    ) % {
        "item": one.want.item,
        "amount": amount_in_words(one.want.amount, one.item.unit),
        "weekday": date_format(one.want.day, "D"),
        "kept": one.days_kept,
        "keeps": one.item.keeps_days,
    }


def _until_in_words(blocked: Sequence[Blocked]) -> str:
    """ " before Wed 9 Sep, 17:30": when the last of them is free; nothing where a day is not known."""
    moments = [one.until for one in blocked if one.until is not None]
    is_known = len(moments) == len(blocked)
    if not is_known:
        return ""
    return _(" before %(until)s") % {"until": moment_in_words(max(moments))}


def blocked_in_words(one: Blocked) -> str:
    """Do not cut P26-184 Genovese in F-7 before Thu 10 Sep 2026, 16:30: soap spray."""
    return wait_in_words(
        f"{one.planting} {one.variety}", spaces=one.spaces, until=one.until, reason=one.product, is_own=one.is_own
    )
