"""Weeks with too much or too little of something, and what could be done, in sentences."""

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from django.utils.translation import gettext as _

from farmops.farm.unit_words import unit_of_many
from farmops.web.templatetags.formats import roughly, week

WEEK = timedelta(days=7)


def weeks_ahead_in_words(ahead: Sequence[Mapping[str, Any]]) -> list[tuple[str, str, str]]:
    """A line for each week; weeks one after another with too much or too little of the same stand as one."""
    runs: list[list[Mapping[str, Any]]] = []
    by_item: dict[tuple[str, bool], list[Mapping[str, Any]]] = {}
    for one in ahead:
        day, kind = date.fromisoformat(one["monday"]), (one["item"], one["over"] > 0)
        run = by_item.get(kind)
        alike = run is not None and ahead_in_words(run[-1])[2] == ahead_in_words(one)[2]
        if run is not None and alike and day - date.fromisoformat(run[-1]["monday"]) == WEEK:
            run.append(one)
        else:
            by_item[kind] = [one]
            runs.append(by_item[kind])
    return [_run_in_words(run) for run in runs]


def _run_in_words(run: Sequence[Mapping[str, Any]]) -> tuple[str, str, str]:
    if len(run) == 1:
        return ahead_in_words(run[0])
    amounts = {name: math.fsum(one[name] for one in run) for name in ("over", "given_up", "missing", "of")}
    _when, what, do = ahead_in_words({**run[0], **amounts})
    first, last = (date.fromisoformat(one["monday"]).isocalendar().week for one in (run[0], run[-1]))
    return _("weeks %(first)d–%(last)d") % {"first": first, "last": last}, what, do


def ahead_in_words(one: Mapping[str, Any]) -> tuple[str, str, str]:
    """The week, what there is too much or too little of, what could be done."""
    figures = {
        "item": one["item"],
        "of": roughly(one["of"]),
        "much": roughly(one["over"] or one["missing"]),
        "unit": unit_of_many(one["unit"]),
        "buyers": ", ".join(one["buyers"]),
        "waits": ", ".join(one["waits"]),
    }
    when = week(date.fromisoformat(one["monday"]))
    if one["over"] and one["given_up"] > one["over"] / 2:
        what = _("%(item)s: the plan clears about %(much)s of %(of)s %(unit)s early") % figures
        return when, what, _("Their places earn more with something else. Leave them standing if you know better.")
    if one["over"]:
        what = _("%(item)s: about %(much)s of %(of)s %(unit)s find nobody") % figures
        offer = _("Offer them to %(buyers)s and others") if one["buyers"] else _("Offer them to regular buyers")
        return when, what, offer % figures + _(", put them in the box, or clear early what stands in the way.")
    what = _("%(item)s: about %(much)s of %(of)s %(unit)s wanted are missing") % figures
    if one["too_late"]:
        do = _("Too late to sow for it: tell %(waits)s, buy in, or offer something else.")
        alone = _("Too late to sow for it: buy in, or offer something else.")
    else:
        do = _(
            "There is time to sow, but the room earns more otherwise: tell %(waits)s, or see what more room would earn."
        )
        alone = _("There is time to sow, but the room earns more otherwise: see what more room would earn.")
    return when, what, (do if one["waits"] else alone) % figures
