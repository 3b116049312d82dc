"""A pick list as text: totals for each item with the split, what to cut where, and what is not on it and why."""

from collections import defaultdict
from datetime import date
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from farmops.core.calendar import week_of
from farmops.core.quantities import is_mass, rounded
from farmops.planning.day_needs import NoHarvestDay
from farmops.planning.picking import Blocked, CutLine, ItemLine, PickList

MANY = {"head": "heads", "bunch": "bunches", "bag": "bags"}


def amount_in_words(amount: Decimal, unit: str) -> str:
    """40 lb, 55.6 lb, 90 heads; weights to a tenth."""
    shown = rounded(amount, 1 if is_mass(unit) or amount != int(amount) else 0)
    plain = f"{shown.normalize():f}" if shown else "0"
    return f"{plain} {MANY.get(unit, unit) if amount != 1 else unit}"


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
        lines.append(
            _("%(item)s: the exact mix gives at most %(most)s of %(wanted)s.")
            % {
                "item": mix.item.item,
                "most": amount_in_words(mix.most, mix.item.unit),
                "wanted": amount_in_words(mix.wanted, mix.item.unit),
            }
        )
    if answer.needs.without_day:
        lines += ["", _("Not on this list:")]
        lines += [f"  {_without_day_in_words(one)}" for one in answer.needs.without_day]
    if answer.blocked:
        lines += ["", _("DO NOT CUT:")]
        lines += [f"  {_blocked_in_words(one)}" for one in answer.blocked]
    return "\n".join(lines)


def _item_in_words(line: ItemLine) -> str:
    unit = line.item.unit
    split: dict[tuple[date, str], Decimal] = defaultdict(Decimal)
    for want in line.wants:
        split[want.day, want.outlet] += want.amount
    parts = [f"{amount_in_words(amount, unit)} {day_in_words(day)} {outlet}" for (day, outlet), amount in split.items()]
    return f"{line.item.item}: {amount_in_words(line.total, unit)} = {' + '.join(parts)}"


def _cut_in_words(cut: CutLine) -> list[str]:
    words = _("  %(variety)s: cut %(cut)s for %(packed)s packed") % {
        "variety": cut.variety,
        "cut": amount_in_words(cut.cut, cut.unit),
        "packed": amount_in_words(cut.packed, cut.unit),
    }
    lines = [words]
    for source in cut.sources:
        lines.append(
            _("      %(amount)s from %(planting)s in %(spaces)s")
            % {
                "amount": amount_in_words(source.amount, cut.unit),
                "planting": source.planting,
                "spaces": ", ".join(source.spaces) or _("a space not noted"),
            }
        )
    if rounded(cut.short, 1 if is_mass(cut.unit) else 0) > 0:
        lines.append(_("      SHORT %(amount)s") % {"amount": amount_in_words(cut.short, cut.unit)})
    return lines


def _without_day_in_words(one: NoHarvestDay) -> str:
    return _(
        "%(item)s: %(amount)s for %(weekday)s has no harvest day (it would be %(kept)d days old and keeps %(keeps)d)"
    ) % {
        "item": one.want.item,
        "amount": amount_in_words(one.want.amount, one.item.unit),
        "weekday": date_format(one.want.day, "D"),
        "kept": one.days_kept,
        "keeps": one.item.keeps_days,
    }


def _blocked_in_words(one: Blocked) -> str:
    where = ", ".join(one.spaces) or _("a space not noted")
    words = {"planting": one.planting, "variety": one.variety, "where": where, "product": one.product}
    if one.until is None:
        return (
            _("%(planting)s %(variety)s in %(where)s: %(product)s, days to wait not noted; read the label first")
            % words
        )
    until = f"{date_format(one.until, 'D j M')} {one.until:%H:%M}"
    return _("%(planting)s %(variety)s in %(where)s: %(product)s, not before %(until)s") % {**words, "until": until}
