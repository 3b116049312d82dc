"""A sowing plan as JSON for programs, and as lines of text for people."""

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmops.core.calendar import week_of
from farmops.core.quantities import is_mass
from farmops.core.sizing import Plan
from farmops.farm.unit_words import unit_of_many
from farmops.planning.plan_words import cause_in_words, how_good
from farmops.planning.sowing import Promised, Sale, SowingLine, SowingPlan
from farmops.planning.why import Use, Why

Json = dict[str, Any]  # what becomes a JSON object


def _week(answer: SowingPlan, week: int) -> str:
    return str(week_of(answer.horizon.monday(week)))


def as_json(answer: SowingPlan) -> Json:
    """The whole answer; amounts in units of the item, money as plain numbers, as it stands in the sheets."""
    plan = answer.plan
    return {
        "format": 1,
        "as_of": answer.horizon.as_of.isoformat(),
        "first_week": _week(answer, 0),
        "weeks": answer.horizon.weeks,
        "status": plan.status,
        "objective": plan.objective,
        "bound": plan.bound,
        "gap": plan.gap,
        "seed": plan.seed,
        "node_limit": plan.node_limit,
        "model_seconds": round(plan.model_seconds, 4),
        "solver_seconds": round(plan.solver_seconds, 4),
        "expected_sales": round(answer.expected_sales, 2),
        "sowings": [_sowing(answer, line) for line in answer.lines],
        "promised": [_promised(promise) for promise in answer.promised],
        "sales": [_sale(sale) for sale in answer.sales],
        "full_weeks": [
            {"kind": room.kind, "week": _week(answer, room.week), "used": round(room.used, 2), "places": room.places}
            for room in plan.room
            if room.binding
        ],
        "over_full_days": [
            {
                "kind": over.kind,
                "from": over.clash.from_day.isoformat(),
                "to": over.clash.to_day.isoformat(),
                "over": round(over.clash.over, 2),
                "who": sorted(set(over.clash.keys)),
            }
            for over in answer.over_full
        ],
        "clash": _clash(plan),
        "notes": list(answer.notes),
    }


def _sowing(answer: SowingPlan, line: SowingLine) -> Json:
    why = line.why
    return {
        "day": line.day.isoformat(),
        "week": _week(answer, line.week),
        "this_week": line.week == 0,
        "variety": line.variety.variety,
        "item": line.item,
        "part": line.variety.part,
        "parts": round(line.parts, 4),
        "whole": line.is_whole,
        "plants": round(line.plants, 2),
        "why": {
            "first_week": _week(answer, why.first_week),
            "last_week": _week(answer, why.last_week),
            "uses": [
                {
                    "kind": use.kind,
                    "outlet": use.outlet,
                    "item": use.item,
                    "day": use.day.isoformat(),
                    "amount": round(use.amount, 3),
                    "in_sum": round(use.in_sum, 4),
                }
                for use in why.uses
            ],
            "unit": why.unit,
            "wanted": round(why.wanted, 3),
            "coming": round(why.coming, 3),
            "short": round(why.short, 3),
            "per_plant": round(why.per_plant, 6),
            "survive": round(why.survive, 6),
            "plants": why.plants,
            "parts": why.parts,
            "harvest": why.harvest,
            "harvests": [
                {
                    "number": harvest.number,
                    "week": _week(answer, harvest.week),
                    "needed": round(harvest.needed, 3),
                    "parts": harvest.parts,
                }
                for harvest in why.harvests
            ],
            "more": round(why.more, 4),
            "more_for": why.more_for,
        },
    }


def _promised(promise: Promised) -> Json:
    want = promise.want
    return {
        "day": want.day.isoformat(),
        "outlet": want.outlet,
        "kind": want.kind,
        "item": want.item,
        "amount": float(want.amount),
        "met": round(promise.met, 3),
        "cause": promise.cause,
    }


def _sale(sale: Sale) -> Json:
    return {
        "day": sale.day.isoformat(),
        "outlet": sale.outlet,
        "item": sale.item,
        "taken": round(sale.taken, 3),
        "expected": round(sale.expected, 3),
        "mean_demand": round(sale.mean_demand, 3),
        "price": sale.price,
    }


def _clash(plan: Plan) -> Json | None:
    if plan.clash is None:
        return None
    return {
        "rules": [
            {"kind": rule.kind, "item": rule.item, "way": rule.way, "week": rule.week, "amount": rule.amount}
            for rule in plan.clash.rules
        ],
        "room": [{"kind": kind, "week": week} for kind, week in plan.clash.room],
    }


def as_text(answer: SowingPlan) -> str:
    """What to sow this week and why, then the weeks to come in short."""
    lines = [_("Sow in the week of %(day)s:") % {"day": answer.horizon.start}]
    now = [line for line in answer.lines if line.week == 0]
    for line in now:
        lines += [f"  {_parts(line)} {line.variety.variety}", f"      {_why_in_words(answer, line)}"]
    if not now:
        lines.append("  " + _("nothing"))
    lines += ["", _("Later, if nothing changes:")]
    later = [line for line in answer.lines if line.week > 0 and line.is_whole]
    lines += [f"  {line.day}  {_parts(line)} {line.variety.variety}" for line in later]
    unmet = [promise for promise in answer.promised if promise.met < float(promise.want.amount) - 0.005]
    if unmet:
        lines += ["", _("Promises that will not be met in full:")]
        lines += [f"  {unmet_in_words(promise)}" for promise in unmet]
    lines += ["", status_in_words(answer.plan), *answer.notes]
    for over in answer.over_full:
        lines.append(
            _("CHECK: %(kind)s has %(over).1f places too much from %(from)s to %(to)s.")
            % {"kind": over.kind, "over": over.clash.over, "from": over.clash.from_day, "to": over.clash.to_day}
        )
    return "\n".join(lines)


def _parts(line: SowingLine) -> str:
    parts = f"{line.parts:g}" if line.is_whole else f"{line.parts:.1f}"
    plants = round(line.plants)
    return ngettext(
        "%(parts)s × %(part)s (%(plants)d plant) of", "%(parts)s × %(part)s (%(plants)d plants) of", plants
    ) % {"parts": parts, "part": line.variety.part, "plants": plants}


def _why_in_words(answer: SowingPlan, line: SowingLine) -> str:
    why = line.why
    words = _(
        "for %(weeks)s: wanted %(wanted)s %(unit)s (%(uses)s), coming %(coming)s, short %(short)s; "
        "÷ %(per_plant).3g a plant ÷ %(survive).3g that survive = %(plants)s = %(parts)s"
    ) % {
        "weeks": _weeks(answer, why),
        "wanted": _amount(why.wanted, why.unit),
        "unit": unit_of_many(why.unit),
        "uses": " + ".join(_use(use, line) for use in why.uses) or _("nothing in these weeks"),
        "coming": _amount(why.coming, why.unit),
        "short": _amount(why.short, why.unit),
        "per_plant": why.per_plant,
        "survive": why.survive,
        "plants": ngettext("%(count)d plant", "%(count)d plants", why.plants) % {"count": why.plants},
        "parts": _whole(why.parts, line),
    }
    cells = why.parts * line.variety.part_plants
    if line.is_whole and why.plants < cells:
        words += _("; %(needed)s of %(cells)s cells are needed") % {"needed": f"{why.plants:,}", "cells": f"{cells:,}"}
    others = [harvest for harvest in why.harvests if harvest.number != why.harvest]
    if others:
        needs = ", ".join(f"{_week(answer, harvest.week)} {harvest.parts}" for harvest in others)
        words += _("; its other cuttings need no more (%(needs)s)") % {"needs": needs}
    return words + more_in_words(line)


def more_in_words(line: SowingLine) -> str:
    """What the plan sows beyond its sum, as numbers with a reason; "" where it is nothing."""
    why = line.why
    if why.more < 0.05:
        return ""
    more = {"more": f"{why.more:g}" if line.is_whole else f"{why.more:.1f}"}
    if why.more_for == "after":
        return _("; and %(more)s more for cuttings after the weeks looked at") % more
    return _("; and %(more)s more to spare") % more


def _weeks(answer: SowingPlan, why: Why) -> str:
    first, last = _week(answer, why.first_week), _week(answer, why.last_week)
    return first if first == last else _("%(first)s to %(last)s") % {"first": first, "last": last}


def _amount(amount: float, unit: str) -> str:
    """Weights to a hundredth, so that a column of them adds up; counts to a tenth."""
    return f"{amount:.2f}" if is_mass(unit) else f"{amount:.1f}"


def _use(use: Use, line: SowingLine) -> str:
    """ "Inn 18.0", or where it becomes part of something: "Thursday box 3.57 = 24.0 salad mix bag"."""
    words = f"{use.outlet} {_amount(use.in_sum, line.why.unit)}"
    return words if use.item == line.item else f"{words} = {use.amount:.1f} {use.item}"


def _whole(parts: int, line: SowingLine) -> str:
    return ngettext("%(count)d %(part)s", "%(count)d × %(part)s", parts) % {"count": parts, "part": line.variety.part}


def unmet_in_words(promise: Promised) -> str:
    want = promise.want
    return _("%(day)s %(outlet)s: %(met).1f of %(amount).1f %(item)s (%(cause)s)") % {
        "day": want.day,
        "outlet": want.outlet,
        "met": promise.met,
        "amount": want.amount,
        "item": want.item,
        "cause": cause_in_words(promise.cause),
    }


def status_in_words(plan: Plan) -> str:
    """How good the plan is."""
    return how_good(plan.status, plan.gap)
