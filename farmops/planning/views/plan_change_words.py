"""Why a sowing is proposed otherwise than before, in a sentence."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from farmops.planning.sowing_list_choice import parts_in_words
from farmops.web.templatetags.formats import amount, roughly, short_day, week


def change_in_words(change: Mapping[str, Any], part: str) -> str:
    """1 → 2 × tray: Quay asks for about 62 butterhead lettuce a day, 55 before (last learned from Sat 2 May)."""
    words = {
        "old": parts_in_words(change["before"], part),
        "new": parts_in_words(change["now"], part),
        "why": fact_in_words(change["fact"]),
    }
    return _("%(old)s → %(new)s: %(why)s") % words


def fact_in_words(fact: Mapping[str, Any]) -> str:
    """What moved, before and now."""
    facts = {
        "name": fact["name"],
        "item": fact["item"],
        "now": roughly(fact["now"]),
        "before": roughly(fact["before"]),
        "day": short_day(date.fromisoformat(fact["day"])) if fact["day"] else "",
        "week": week(date.fromisoformat(fact["day"])) if fact["day"] else "",
        "places": amount(fact["now"]),
        "places_before": amount(fact["before"]),
    }
    sentences = {
        "asked": _("%(name)s asks for about %(now)s %(item)s a day, %(before)s before (newest day: %(day)s)"),
        "promised": _("promised to %(name)s: about %(now)s %(item)s a week, %(before)s before"),
        "coming": _("coming from what stands: about %(now)s %(item)s, %(before)s before"),
        "room": _("%(name)s, %(week)s: %(places)s places for new sowings, %(places_before)s before"),
        "ready": _("%(name)s sown in %(week)s takes %(now)s weeks, not %(before)s as was thought"),
        "own": _("your own word"),
        "sown": _("sown since"),
        "follows": _("it follows from what you chose, planned or sowed"),
        "elsewhere": _("other sowings need the room, or leave it"),
    }
    return sentences[fact["code"]] % facts


def changes_in_words(answer: Mapping[str, Any]) -> list[tuple[str, str]]:
    """What changed since the answer before, the weeks after this one too: which sowing, and why."""
    parts = {one["variety"]: one["part"] for one in answer["now"]}
    parts |= {variety: part for later in answer["later"] for variety, part, _parts in later["sowings"]}
    return [
        (
            f"{one['variety']}, {week(date.fromisoformat(one['monday']))}",
            change_in_words(one, parts.get(one["variety"], _("part"))),
        )
        for one in told(answer)
    ]


def told(answer: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Changes that the grower did not make by their own word or by sowing."""
    return [one for one in answer["changes"] if one["fact"]["code"] not in {"own", "sown"}]
