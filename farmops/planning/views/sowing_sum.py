"""The sum behind a line of the sowing list, step by step."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from farmops.farm.unit_words import unit_of_many
from farmops.planning.sowing_list import SMALL
from farmops.planning.sowing_list_choice import parts_in_words
from farmops.web.templatetags.formats import amount, one_place, short_day

Step = tuple[str, str]  # words, value


def uses_in_words(why: Mapping[str, Any]) -> list[Step]:
    """One use in the unit of the sum, with the items it is where that is another unit."""
    steps = []
    for day, outlet, item, items, in_sum in why["uses"]:
        if items > SMALL:
            counted = "" if abs(in_sum - items) < SMALL else f" ({one_place(items)})"
            words = f"{short_day(date.fromisoformat(day))}, {outlet}: {item}{counted}"
            steps.append((words, _much(in_sum, why["unit"])))
    return steps


def _much(value: float, unit: str) -> str:
    return f"{amount(value)} {unit if amount(value) == '1' else unit_of_many(unit)}"


def sum_in_words(planned: Mapping[str, Any], part: str, without: float | None) -> list[Step]:
    why, unit = planned["why"], planned["why"]["unit"]
    steps = [
        (_("Wanted in these weeks"), _much(why["wanted"], unit)),
        (_("Coming from what stands or is sown besides"), _much(why["coming"], unit)),
        (_("Short"), _much(why["short"], unit)),
        (
            _("÷ %(each)s a plant ÷ %(live)s that live = plants")
            % {"each": f"{why['per_plant']:.3g}", "live": f"{why['survive']:.0%}"},
            amount(why["plants"]),
        ),
        (_("in whole parts (%(part)s)") % {"part": part}, amount(why["parts"])),
    ]
    if why["more"] > SMALL:
        reason = _("for weeks after those looked at") if why["more_for"] == "after" else _("to spare")
        steps.append((_("and besides, %(reason)s") % {"reason": reason}, amount(why["more"])))
    if without is not None and without > planned["parts"] + SMALL:
        steps.append((_("Without the limit of room"), parts_in_words(without, part)))
    return steps


def yours_in_words(planned: Mapping[str, Any], words: str, gives: float | None) -> list[Step]:
    """What the grower's own number leaves short of the sum, where one was chosen."""
    if gives is None:
        return []
    why = planned["why"]
    short = max(0.0, why["short"] - gives)
    return [(_("Yours"), words), (_("Short with yours"), _much(short, why["unit"]))]
