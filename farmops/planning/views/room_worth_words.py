"""What one more space of each kind would earn, in sentences."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from farmops.planning.stored_answers import Stored
from farmops.web.templatetags.formats import dollars

LITTLE = 0.5  # of the currency a week: not worth a number


@dataclass(frozen=True, slots=True)
class RoomShown:
    """What was worked out, how, and how old it is."""

    lines: tuple[str, ...]
    how: str
    kept: Stored
    is_old: bool


def room_shown(kept: Stored, today: date) -> RoomShown:
    """One sentence for each kind of space that is full, the most worth first."""
    answer = kept.answer
    kinds = sorted(answer["kinds"], key=lambda one: -one["about"])
    how = _(
        "Worked out anew with one space more, every kind by itself, and subtracted: over %(weeks)d weeks, each time to "
        "within a tenth of a percent of the best there is. It does not count what the space costs."
    )
    return RoomShown(
        tuple(_line(one, answer["weeks"]) for one in kinds),
        how % {"weeks": answer["weeks"]},
        kept,
        kept.is_old(today),
    )


def _line(one: Mapping[str, Any], weeks: int) -> str:
    a_week = one["about"] / weeks
    words = {
        "kind": one["kind"],
        "places": one["places"],
        "a_week": dollars(a_week),
        "all": dollars(one["about"]),
        "most": dollars(one["at_most"]),
    }
    if a_week < LITTLE:
        return _("One more %(kind)s (%(places)d places): next to nothing; at most %(most)s in all.") % words
    return (
        _("One more %(kind)s (%(places)d places) would earn about %(a_week)s a week, %(all)s in all; at most %(most)s.")
        % words
    )
